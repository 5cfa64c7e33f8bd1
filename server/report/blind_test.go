package report_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/server/report"
	"zonule/timeline"
)

// planted gives the eventful case words that can be found again wherever somebody may have typed, and says which of them the
// full report tells.
func planted(t *testing.T) (file annotate.CaseFile, everywhere, inFull []string) {
	t.Helper()
	file = eventful(t)
	plant := func(told bool, where ...*string) {
		for _, at := range where {
			word := "Qplant" + strings.Repeat("z", len(everywhere)+1) + "q"
			*at = word
			everywhere = append(everywhere, word)
			if told {
				inFull = append(inFull, word)
			}
		}
	}
	c := &file.Case
	c.ID, c.LostToFollowUp = "qid-case", &annotate.LostToFollowUp{On: "2026-06-30"}
	plant(true, &c.Pseudonym, &c.Operation.Note, &c.Operation.LensKind, &c.Operation.MachineFamily, &c.LostToFollowUp.Reason, &file.UnitName)
	plant(true, &c.Before.Exam.Instrument, &c.Before.FellowEye.Note, &file.Complications[0].Action, &file.Complications[1].Note)
	plant(true, &file.Visits[1].Medication, &file.Visits[1].Note, &file.Visits[1].Exam.Instrument, &file.Visits[1].Exam.Method)
	plant(true, &file.Reading.Events[1].Note, &file.Reading.Comments[0].Text, &file.Reading.Comments[1].Text, &file.Reading.Acceptances[0].Reason)
	c.Operation.TechniquePlanned = annotate.TechniqueMSICS
	plant(true, &c.Operation.ConversionReason, &file.Reading.Markers[3].Note, &c.Before.Acuity)
	file.People = append([]annotate.Person{}, file.People...)
	for i := range file.People {
		plant(true, &file.People[i].Name)
	}
	plant(false, &file.Parts[0].Source)
	file.Parts[1].Facts.Fingerprint = "qfingerprint"
	file.Findings = append(file.Findings,
		annotate.Finding{Kind: annotate.FindingSeen, Text: "Qhidden: nobody said that this names nobody."},
		annotate.Finding{Kind: annotate.FindingSeen, NamesNobody: true, Text: "Qnamed: " + strings.ToUpper(file.People[0].Name) + " was tired."},
		annotate.Finding{Kind: annotate.FindingSeen, NamesNobody: true, Text: "Qpseudonym of " + c.Pseudonym + "."},
		annotate.Finding{Kind: annotate.FindingSeen, NamesNobody: true, Text: "Qdated 12 March."},
		annotate.Finding{Kind: annotate.FindingLearning, NamesNobody: true, Text: "Qkept: hold the tip up at @5:33.1."})
	return file, everywhere, inFull
}

// hidden are further words of the case that tell whose it is: ids, dates as they are kept and as they are written.
var hidden = []string{
	"qid-case", "c-17", "u-eleni", "u-anand", "p-1", "p-2", "\"v-1\"", "\"k-1\"", "\"t-1\"", "\"m-01\"", "\"r-1\"", "qfingerprint", "theatre:",
	"2026-03-12", "12 March 2026", "2026-04-10", "10 April 2026", "2026-03-20", "2026-06-30", "14 March", "Senior trainee", "senior trainee", "senior-trainee",
	"/cases/", "/api/v1", "Qhidden", "Qnamed", "Qpseudonym", "Qdated", "Specular A",
}

func TestBlindTellsNobody(t *testing.T) {
	file, everywhere, inFull := planted(t)
	full := report.Build(file, report.Options{Recalibration: &annotate.Recalibration{From: "2025-01-01", To: "2025-12-31"}})
	before, err := report.JSON(full)
	require.NoError(t, err)
	edition := report.Edition{Address: "https://zonule.example.org"}
	told := strings.Join(allTexts(t, full, edition), "\n")
	for _, word := range inFull {
		require.Contains(t, told, word, "the full report tells it, so that leaving it out can be seen")
	}
	blind, err := report.Blind(full)
	require.NoError(t, err)
	after, err := report.JSON(full)
	require.NoError(t, err)
	require.True(t, bytes.Equal(before, after), "the full report stays as it was")
	for i, text := range allTexts(t, blind, edition) {
		form := []string{"JSON", "HTML", "PDF", "PDF facts"}[i]
		for _, word := range append(everywhere, hidden...) {
			if at := strings.Index(text, word); at >= 0 {
				require.Failf(t, "identity told", "%s in %s: %s", word, form, text[max(0, at-60):min(len(text), at+60)])
			}
		}
		if form != "PDF facts" {
			require.Contains(t, text, "Qkept", form)
			require.Contains(t, text, "Operator 1", form)
			require.Contains(t, text, "day 29", form)
			require.Contains(t, text, "Posterior capsule rupture", form)
		}
	}
	require.Contains(t, blind.Summary, "A case, right eye: ")
	require.Contains(t, strings.Join(blind.Blinded, " "), "5 of 8 findings and learning points are left out")
	again, err := report.Blind(blind)
	require.NoError(t, err)
	require.Equal(t, blind.Steps, again.Steps)
}

// allTexts writes a report as JSON, HTML and PDF, and reads the PDF back with poppler.
func allTexts(t *testing.T, r report.Report, e report.Edition) []string {
	t.Helper()
	content, err := report.JSON(r)
	require.NoError(t, err)
	page, err := report.HTML(r, e)
	require.NoError(t, err)
	pdf, err := report.PDF(r, e)
	require.NoError(t, err)
	name := onDisk(t, pdf)
	plain := strings.Join(strings.Fields(tool(t, "pdftotext", name, "-")), " ")
	return []string{string(content), string(page), plain, tool(t, "pdfinfo", name) + tool(t, "pdfinfo", "-url", name)}
}

func TestBlindKeepsTheFigures(t *testing.T) {
	full := report.Build(eventful(t), report.Options{})
	blind, err := report.Blind(full)
	require.NoError(t, err)
	require.Equal(t, full.Operation.Time, blind.Operation.Time)
	require.Equal(t, full.Stages, blind.Stages)
	require.Equal(t, full.FollowUp.Visits[1].Loss, blind.FollowUp.Visits[1].Loss)
	require.Equal(t, "day 1", blind.FollowUp.Visits[0].Date)
	require.Equal(t, "day 8", blind.Happenings[len(blind.Happenings)-1].ResolvedOn)
	require.Equal(t, "6/24", blind.Case.Before.Acuity, "what reads as an acuity is one")
	require.Equal(t, blind.Case.Before.Exam.Instrument, blind.FollowUp.Visits[1].Exam.Instrument, "the same instrument has the same name")
	require.Equal(t, full.Findings[1].Moments[0].WrittenMoment, blind.Findings[0].Moments[0].WrittenMoment)
	require.Len(t, blind.Recording, 2)
	require.Equal(t, blind.Recording[1].ID, blind.Happenings[len(blind.Happenings)-2].At.PartID)
	old := eventful(t)
	*old.Case.Before.Age = 93
	blind, err = report.Blind(report.Build(old, report.Options{}))
	require.NoError(t, err)
	require.Nil(t, blind.Case.Before.Age)
	require.Contains(t, strings.Join(blind.Blinded, " "), "over 89")
}

func TestBlindOfThePartsThatCannotBePlaced(t *testing.T) {
	file := eventful(t)
	file.Parts[0].Source, file.Parts[1].Source = "films:qsurname-2026.mp4", "films:qsurname-2027.mp4"
	file.Parts[1].Offset = ptr(int64(5))
	blind, err := report.Blind(report.Build(file, report.Options{}))
	require.NoError(t, err)
	for _, text := range allTexts(t, blind, report.Edition{}) {
		require.NotContains(t, text, "qsurname")
	}
	require.Equal(t, timeline.NotRecorded, blind.Operation.Quality)
}
