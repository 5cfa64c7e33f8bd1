package report_test

import (
	"encoding/csv"
	"encoding/json"
	"html"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/server/report"
	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// TestSameStudySameBytes: rows in any order, asked twice, give the same paper.
func TestSameStudySameBytes(t *testing.T) {
	for _, p := range papers() {
		turned := make([]cohort.Row, len(p.rows))
		for i, row := range p.rows {
			turned[len(p.rows)-1-i] = row
		}
		first, second := outcome.Study(p.rows, p.study), outcome.Study(turned, p.study)
		for name, write := range map[string]func(outcome.Result, report.StudyEdition) ([]byte, error){
			"html": report.StudyHTML, "pdf": report.StudyPDF,
			"json": func(r outcome.Result, _ report.StudyEdition) ([]byte, error) { return report.StudyJSON(r) },
		} {
			one, err := write(first, p.edition)
			require.NoError(t, err)
			two, err := write(second, p.edition)
			require.NoError(t, err)
			require.Equal(t, one, two, "%s of %s", name, p.name)
		}
		for _, write := range []func(outcome.Analysis) ([]byte, error){report.StudyCSV, report.StudyXLSX} {
			one, err := write(outcome.Table(p.rows, p.study, nil))
			require.NoError(t, err)
			two, err := write(outcome.Table(turned, p.study, nil))
			require.NoError(t, err)
			require.Equal(t, one, two, p.name)
		}
	}
}

// TestNobodyIsOnPaper: no id of a case or of who operated is in any form of a study; the result that was given keeps them.
func TestNobodyIsOnPaper(t *testing.T) {
	for _, p := range papers() {
		result := outcome.Study(p.rows, p.study)
		before, err := json.Marshal(result)
		require.NoError(t, err)
		page, err := report.StudyHTML(result, p.edition)
		require.NoError(t, err)
		pdf, err := report.StudyPDF(result, p.edition)
		require.NoError(t, err)
		content, err := report.StudyJSON(result)
		require.NoError(t, err)
		table, err := report.StudyCSV(outcome.Table(p.rows, p.study, nil))
		require.NoError(t, err)
		for form, text := range map[string]string{
			"html": string(page), "pdf": tool(t, "pdftotext", onDisk(t, pdf), "-"), "csv": string(table),
			"json": strings.ReplaceAll(string(content), `"operator":"`+p.study.Population.Operator+`"`, ""), // the definition names whose cases are asked about
		} {
			require.NotContains(t, text, "case-0", "%s of %s", form, p.name)
			require.NotContains(t, text, "operator-0", "%s of %s", form, p.name)
		}
		after, err := json.Marshal(result)
		require.NoError(t, err)
		require.Equal(t, string(before), string(after))
	}
}

// causal are words that say more than an association can.
var causal = regexp.MustCompile(`(?i)\b(caus\w*|because|due to|leads? to|results? in|effects?|impacts?|prevents?|protects?|responsible|harms?|improves?|worsens?|increases?|reduces?|risk factor of|drives? the|owing to|thanks to|brings? about|consequence\w*)\b`)

var tags = regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`)

// TestPaperSpeaksOfAssociationsOnly over every kind of outcome, found and not found, modelled and not.
func TestPaperSpeaksOfAssociationsOnly(t *testing.T) {
	require.Regexp(t, causal, "Long stages lead to loss.")
	exposures := []outcome.Exposure{
		nucleus, {Kind: outcome.OperationTime, Scale: outcome.PerDoubling}, {Kind: outcome.Dissipated}, {Kind: outcome.Contacts}, {Kind: outcome.Interruption},
		{Kind: outcome.HandedOver},
	}
	for _, asked := range []outcome.Outcome{loss3, {Kind: outcome.Oedema, Window: "month-3"}, {Kind: outcome.Thickness, Window: "month-3"}, {Kind: outcome.AcuityGain, Window: "month-3"}, rupture} {
		for seed, cases := range []int{60, 120, 12} {
			rows := studied(uint64(seed+10), max(cases, 41))[:cases]
			for i := range rows {
				thick, thicker, seen, before, grade := 540, 541+i%20, float64(i%4)/10, 0.5+float64(i%7)/10, i%3
				rows[i].Before.Thickness, rows[i].Before.LogMAR = &thick, &before
				for j := range rows[i].After {
					rows[i].After[j].Thickness, rows[i].After[j].LogMAR, rows[i].After[j].OedemaGrade = &thicker, &seen, &grade
				}
			}
			for _, some := range [][]outcome.Exposure{exposures, exposures[:1]} {
				result := outcome.Study(rows, outcome.Definition{Outcome: asked, Exposures: some})
				page, err := report.StudyHTML(result, report.StudyEdition{Name: "A study", Unit: "A unit"})
				require.NoError(t, err)
				text := html.UnescapeString(tags.ReplaceAllString(string(page), "\n"))
				require.NotRegexp(t, causal, text)
				require.NotContains(t, text, "NaN")
				require.NotContains(t, text, "Inf")
			}
		}
	}
}

// TestNoUpperBoundIsAnySize: an odds ratio without an upper bound is told in words and drawn as an arrow, never as a number.
func TestNoUpperBoundIsAnySize(t *testing.T) {
	p := 0.04
	size := outcome.Size{Value: 9.5, Low: 1.1, High: math.MaxFloat64, P: &p, N: 40, Interval: "profile"}
	result := outcome.Result{
		Definition: outcome.Definition{Outcome: rupture, Exposures: []outcome.Exposure{nucleus}}, Population: 40, N: 40, Events: 10,
		Relations: []outcome.Relation{{Exposure: nucleus, Measure: outcome.Measure{Name: "time in the nucleus stage", Unit: "min"}, Per: "minute", Adjusted: &size, Unadjusted: &size, Sensitivity: []outcome.Sensitivity{{Name: "without the event farthest out", Size: &size}}}},
	}
	page, err := report.StudyHTML(result, report.StudyEdition{Name: "A study"})
	require.NoError(t, err)
	require.Equal(t, 7, strings.Count(string(page), "9.50 (1.10 to any size)"), "twice in the figure and in its table, in the facts, as told and in the other ways")
	require.NotContains(t, string(page), "e+308")
	require.NotContains(t, string(page), "179769")
	pdf, err := report.StudyPDF(result, report.StudyEdition{Name: "A study"})
	require.NoError(t, err)
	require.Contains(t, tool(t, "pdftotext", "-layout", onDisk(t, pdf), "-"), "any size")
}

// TestStudyTableIsReadByMachines: every row of the table of cases has every column, and a name that a spreadsheet would run is
// guarded.
func TestStudyTableIsReadByMachines(t *testing.T) {
	p := papers()[0]
	content, err := report.StudyCSV(outcome.Table(p.rows, p.study, nil))
	require.NoError(t, err)
	lines, err := csv.NewReader(strings.NewReader(string(content))).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 1+90)
	require.Contains(t, lines[0], "time in the nucleus stage (min)")
	content, err = report.StudyCSV(outcome.Analysis{Columns: []outcome.Column{{Code: "a", Name: "=1+1"}}, Rows: [][]string{{"@run"}, {"-2.5"}}})
	require.NoError(t, err)
	require.Equal(t, "'=1+1\r\n'@run\r\n-2.5\r\n", string(content))
}

// TestStudyAsksInASentence writes the question of a definition.
func TestStudyAsksInASentence(t *testing.T) {
	three, five := 3, 5
	for want, d := range map[string]outcome.Definition{
		"Does time in the nucleus stage go with loss of endothelial cells at month 3 in all cases, without those whose capsule ruptured?":                       {Outcome: loss3, Exposures: []outcome.Exposure{nucleus}},
		"Do time in the nucleus stage and CDE go with capsule rupture (audit definition) in cases of phacoemulsification from 1 January 2026 to 31 March 2026?": {Outcome: rupture, Exposures: []outcome.Exposure{nucleus, {Kind: outcome.Dissipated}}, Population: outcome.Population{Technique: "phaco", From: "2026-01-01", To: "2026-03-31"}},
		"Does CDE go with loss of endothelial cells at month 3 in all cases that one person led until 31 March 2026 with nuclear grade 3 to 5?":                 {Outcome: loss3, Exposures: []outcome.Exposure{{Kind: outcome.Dissipated}}, Population: outcome.Population{Operator: "x", To: "2026-03-31", GradeFrom: &three, GradeTo: &five, WithRuptures: true}},
		"Does CDE go with loss of endothelial cells at month 3 in all cases since 1 January 2026 with nuclear grade 3, without those whose capsule ruptured?":   {Outcome: loss3, Exposures: []outcome.Exposure{{Kind: outcome.Dissipated}}, Population: outcome.Population{From: "2026-01-01", GradeFrom: &three, GradeTo: &three}},
		"Does CDE go with loss of endothelial cells at month 3 in all cases with nuclear grade 3 or less, without those whose capsule ruptured?":                {Outcome: loss3, Exposures: []outcome.Exposure{{Kind: outcome.Dissipated}}, Population: outcome.Population{GradeTo: &three}},
	} {
		page, err := report.StudyHTML(outcome.Study(nil, d), report.StudyEdition{Name: "A study"})
		require.NoError(t, err)
		require.Contains(t, string(page), want)
	}
}
