package report_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/server/report"
)

var anchored = regexp.MustCompile(`<(?:section|div) id="([a-z-]+)"`)

// sectionsOf reads the sections off the page.
func sectionsOf(t *testing.T, chosen []string) []string {
	t.Helper()
	page, err := report.HTML(report.Build(eventful(t), report.Options{Sections: chosen}), report.Edition{})
	require.NoError(t, err)
	var codes []string
	for _, found := range anchored.FindAllStringSubmatch(string(page), -1) {
		codes = append(codes, found[1])
	}
	return codes
}

func TestSectionsAreTheUnitsChoice(t *testing.T) {
	usual := sectionsOf(t, nil)
	var codes []string
	for _, section := range annotate.ReportSections {
		codes = append(codes, section.Code)
	}
	require.Subset(t, codes, usual, "every section can be chosen")
	require.Equal(t, usual, slices.DeleteFunc(slices.Clone(codes), func(code string) bool { return !slices.Contains(usual, code) }), "in the usual order")
	require.Equal(t, usual, sectionsOf(t, codes), "all in the usual order is the usual letter")

	require.Equal(t, []string{"signature", "findings", "eye", "missing", "cautions"}, sectionsOf(t, []string{"signature", "findings", "eye", "missing", "cautions"}))
	require.Equal(t, []string{"eye", "steps", "missing", "cautions", "signature"}, sectionsOf(t, []string{"steps"}), "what must stay stays at its usual place")
}

func TestFindingsLeadToTheirMoments(t *testing.T) {
	r := report.Build(eventful(t), report.Options{})
	require.Len(t, r.Findings, 3)
	first := r.Findings[0]
	require.Equal(t, "p-2", first.Moments[0].At.PartID, "media time of part 2")
	require.Equal(t, int64(126_000), first.Moments[0].At.Ms)
	require.Equal(t, "p-2", first.Moments[1].At.PartID, "the case clock runs across the parts: 9:08.44 is 2:08.44 after 7 minutes of part 1")
	require.Equal(t, int64(128_440), first.Moments[1].At.Ms)
	require.Nil(t, r.Findings[1].Moments[1].At, "59:00 is beyond the recording")
	require.Equal(t, []report.StillAt{
		{PartID: "p-2", Ms: 126_000}, {PartID: "p-2", Ms: 128_440}, {PartID: "p-1", Ms: 180_000}, {PartID: "p-1", Ms: 333_100}, {PartID: "p-1", Ms: 333_000},
	}, r.StillsWanted())

	page, err := report.HTML(r, cast[0].edition)
	require.NoError(t, err)
	require.Contains(t, string(page), `<a href="https://zonule.example.org/cases/c-17/operation#part=p-2&amp;t=128.44">@9:08.44</a>`)
	require.Equal(t, 2, strings.Count(string(page), "data:image/jpeg;base64,"), "a picture where one could be taken")
	require.Contains(t, string(page), "Nobody has said yet")
	file := eventful(t)
	for i := range file.Parts {
		file.Parts[i].ClearedAt = 1
	}
	page, err = report.HTML(report.Build(file, report.Options{}), cast[0].edition)
	require.NoError(t, err)
	require.NotContains(t, string(page), "Nobody has said yet")
	pdf, err := report.PDF(r, cast[0].edition)
	require.NoError(t, err)
	require.Equal(t, 2, strings.Count(tool(t, "pdfimages", "-list", onDisk(t, pdf)), "jpeg"))
}
