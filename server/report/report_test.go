package report_test

import (
	"encoding/csv"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"zonule/annotate"
	"zonule/server/report"
	"zonule/timeline"
)

// TestOrderOfRowsDoesNotMatter: two databases may give the rows of a case in another order.
func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	for _, c := range cast[:2] {
		want, err := report.JSON(report.Build(c.file(t), report.Options{}))
		require.NoError(t, err)
		chance := rand.New(rand.NewPCG(3, 7))
		for range 5 {
			file := c.file(t)
			shuffle(chance, file.Reading.Markers)
			shuffle(chance, file.Reading.Events)
			shuffle(chance, file.Reading.Comments)
			shuffle(chance, file.Complications)
			shuffle(chance, file.Visits)
			shuffle(chance, file.People)
			got, err := report.JSON(report.Build(file, report.Options{}))
			require.NoError(t, err)
			require.Equal(t, string(want), string(got), c.name)
		}
	}
}

func shuffle[T any](chance *rand.Rand, items []T) {
	chance.Shuffle(len(items), func(i, j int) { items[i], items[j] = items[j], items[i] })
}

// TestGroupOf20 is the edge of the reference group: 19 other cases give no place, 20 do.
func TestGroupOf20(t *testing.T) {
	for n, placed := range map[int]bool{0: false, 4: false, 19: false, 20: true} {
		file := eventful(t)
		file.Group = map[string][]int64{}
		for i := range n {
			file.Group["capsulorhexis"] = append(file.Group["capsulorhexis"], int64(60_000+i*1_000))
		}
		for _, s := range report.Build(file, report.Options{}).Steps {
			if s.Code == "capsulorhexis" {
				require.Equal(t, n, s.Place.N)
				require.Equal(t, placed, s.Place.Percentile != nil, "%d cases", n)
				require.Equal(t, placed, s.Place.Median != nil, "%d cases", n)
				require.Equal(t, !placed, s.Place.Why != "", "%d cases", n)
			}
		}
	}
}

// TestEditedFilmHasNoPlace: a step in an undeclared edit is told as film and takes no part in statistics.
func TestEditedFilmHasNoPlace(t *testing.T) {
	file := converted(t)
	file.Group = map[string][]int64{}
	for i := range 30 {
		file.Group["suturing"] = append(file.Group["suturing"], int64(20_000+i*1_000))
	}
	for _, s := range report.Build(file, report.Options{}).Steps {
		if s.Code == "suturing" {
			require.Equal(t, timeline.NoStatistics, s.Quality)
			require.Nil(t, s.Place.Percentile)
			require.Equal(t, "no place for an edited recording", s.Place.Why)
		}
	}
}

func TestPartsThatOverlapAreToldAndNothingIsTimed(t *testing.T) {
	file := eventful(t)
	file.Parts[1].Offset = ptr(int64(100_000))
	r := report.Build(file, report.Options{})
	require.Nil(t, r.Operation.Time)
	require.Equal(t, "clock", r.Missing[1].Code)
	require.Contains(t, r.Missing[1].Text, "cannot be placed on one clock")
	forms(t, r, report.Edition{})
}

func TestLimitsOfTheUnitFlagACount(t *testing.T) {
	flags := func(o report.Options) []string { return report.Build(eventful(t), o).FollowUp.Visits[1].Flags }
	require.Equal(t, []string{"loss over 20 %"}, flags(report.Options{}))
	require.Equal(t, []string{"density under 2000 cells/mm²", "loss over 15 %"}, flags(report.Options{LossLimitPercent: 15, DensityLimit: 2000}))
	require.Empty(t, flags(report.Options{LossLimitPercent: 30}))
}

// TestNoTextBreaksAForm puts any text into every place where people write.
func TestNoTextBreaksAForm(t *testing.T) {
	base := eventful(t)
	anything := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"<script>alert(1)</script>", "=cmd|' /C calc'!A0", "-2+3", "\"quoted\",\r\nline", "\u202eabc", "😀", strings.Repeat("अनवरत ", 60), "{{.}}", "nan"}))
	rapid.Check(t, func(rt *rapid.T) {
		file := base
		text := func(name string) string { return anything.Draw(rt, name) }
		file.UnitName, file.Case.Pseudonym = text("unit"), text("pseudonym")
		file.Case.Operation.Note, file.Case.Operation.ConversionReason, file.Case.Operation.MachineFamily = text("note"), text("reason"), text("machine")
		file.Case.Before.Acuity = text("acuity")
		file.People = []annotate.Person{{ID: "u-eleni", Name: text("name")}}
		reading := *base.Reading
		reading.Comments = []annotate.Comment{{ID: "t", AuthorID: text("author"), At: at("p-1", 3), Text: text("comment")}}
		reading.Events = []annotate.Event{{ID: "e", Kind: text("kind"), At: at("p-1", 30), Note: text("event")}}
		file.Reading = &reading
		file.Complications = []annotate.Complication{{ID: "k", Kind: text("complication"), OnDate: text("date"), Action: text("action")}}
		r := report.Build(file, report.Options{})
		e := report.Edition{Signature: &report.Signature{Name: text("signer"), Addenda: []annotate.Addendum{{AuthorName: text("adder"), Text: text("addendum")}}}}
		page, err := report.HTML(r, e)
		require.NoError(rt, err)
		require.NotContains(rt, string(page), "<script")
		if rapid.IntRange(0, 4).Draw(rt, "PDF too") == 0 { // it is slow, and package typeset has the same property
			_, err = report.PDF(r, e)
			require.NoError(rt, err)
		}
		table, err := report.CSV(r, e)
		require.NoError(rt, err)
		rows, err := csv.NewReader(strings.NewReader(string(table))).ReadAll()
		require.NoError(rt, err)
		for _, row := range rows[1:] {
			for i, field := range row {
				if _, number := numberColumns[rows[0][i]]; !number {
					require.NotRegexp(rt, `^[=+\-@\t\r]`, field, rows[0][i])
				}
			}
		}
	})
}

// numberColumns hold what may begin with a minus sign.
var numberColumns = map[string]struct{}{"at_ms": {}, "end_ms": {}, "media_ms": {}, "length_ms": {}, "value": {}, "low": {}, "high": {}, "median": {}, "q1": {}, "q3": {}, "percentile": {}}

// TestNumbersReachPeopleWithCare: no form of any case shows a number that is none, or a bare p-value.
func TestNumbersReachPeopleWithCare(t *testing.T) {
	for _, c := range cast {
		written := forms(t, report.Build(c.file(t), report.Options{}), c.edition)
		written["pdf"] = []byte(tool(t, "pdftotext", onDisk(t, written["pdf"]), "-"))
		for form, content := range written {
			require.NotRegexp(t, regexp.MustCompile(`\bNaN\b|[+-]?\bInf\b|%!|\bp ?[=<] ?0|<nil>`), string(content), "%s as %s", c.name, form)
		}
	}
}

// TestPageStandsAlone: the page loads nothing, runs nothing and carries no style but the one that its policy names.
func TestPageStandsAlone(t *testing.T) {
	page := string(forms(t, report.Build(eventful(t), report.Options{}), cast[0].edition)["html"])
	page = strings.ReplaceAll(page, `<img src="data:image/jpeg;base64,`, "") // pictures of moments are within it
	require.NotRegexp(t, regexp.MustCompile(`<script|<link|<img|<iframe|\sstyle=|url\(|@import|\son[a-z]+=`), page)
	require.Regexp(t, regexp.MustCompile(`^'sha256-[A-Za-z0-9+/]{43}='$`), report.StyleSource())
	require.Equal(t, 1, strings.Count(page, "<style>"))
	require.Contains(t, page, `lang="en-GB"`)
}
