package demo

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/timeline"
	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// studied gives the flat row of a record, as far as the studies below read it.
func studied(t *testing.T, record Record) cohort.Row {
	t.Helper()
	c := record.Case
	lead := c.Operators[0]
	row := cohort.Row{
		CaseID: c.ID, Date: c.Date, Technique: string(c.Operation.TechniquePerformed), Operator: lead.UserID, Grade: string(lead.Grade),
		CompareInstruments: c.CompareInstruments, Events: map[string]int{},
		Before: cohort.Before{
			Age: c.Before.Age, NuclearGrade: c.Before.NuclearGrade, Pupil: c.Before.Pupil, AxialLength: c.Before.AxialLength,
			ChamberDepth: c.Before.ChamberDepth, Pseudoexfoliation: timeline.Answer(c.Before.Pseudoexfoliation), Count: counted(c.Before.Exam),
		},
		Operation: cohort.Operation{CDE: c.Operation.CDE, MachineFamily: c.Operation.MachineFamily},
	}
	for _, ovd := range c.Operation.OVDs {
		row.Operation.Dispersive = row.Operation.Dispersive || ovd == "dispersive"
	}
	if record.Reading != nil {
		result := timeline.Durations(input(t, record))
		row.Tagged, row.Time, row.Measured = true, result.Operation.Time, result.Operation.Quality == timeline.Measured
		for _, stage := range result.Stages {
			row.Stages = append(row.Stages, cohort.Part{Code: stage.Stage, Total: stage.Total, Episodes: stage.Episodes, Quality: stage.Quality})
		}
		for _, edit := range record.Edits {
			for _, change := range edit.Changes {
				if change.Event != nil {
					row.Events[change.Event.Kind]++
				}
			}
		}
	}
	for _, complication := range record.Complications {
		row.CapsuleRupture = row.CapsuleRupture || complication.Kind == "posterior-capsule-rupture"
	}
	for _, v := range record.Visits {
		row.After = append(row.After, cohort.Seen{Window: string(v.Window), Count: counted(v.Exam)})
	}
	return row
}

func counted(e *annotate.EndothelialExam) *cohort.Count {
	if e == nil {
		return nil
	}
	return &cohort.Count{Density: e.Density, Cells: e.Cells, CV: e.CV, Instrument: e.Instrument, Method: e.Method}
}

// flat keeps the rows of units that tests have asked for, by the number of cases: they only read them.
var flat = map[int][]cohort.Row{}

// studiedRows gives the rows of a unit of the seed that "zonule demo" takes.
func studiedRows(t *testing.T, cases int) []cohort.Row {
	t.Helper()
	if flat[cases] == nil {
		for _, record := range Invent(Options{Seed: 1, Today: today, Cases: cases}).Records {
			flat[cases] = append(flat[cases], studied(t, record))
		}
	}
	return flat[cases]
}

// plantedLoss are the relations of the package's comment that a study of the loss at one month must find again, each with the
// figure that was planted: percent fewer cells left per doubling of the time (0.03 in natural logarithms), per unit of CDE and
// per contact.
var plantedLoss = []struct {
	exposure outcome.Exposure
	percent  float64
}{
	{outcome.Exposure{Kind: outcome.StageTime, Code: "nucleus", Scale: outcome.PerDoubling}, 100 * -math.Expm1(-0.03*math.Ln2)},
	{outcome.Exposure{Kind: outcome.Dissipated}, 100 * -math.Expm1(-0.0035)},
	{outcome.Exposure{Kind: outcome.Contacts}, 100 * -math.Expm1(-0.006)},
}

// lossStudy asks how the loss at one month goes with what is planted, allowing for what stands behind it, and with more.
func lossStudy(more ...outcome.Exposure) outcome.Definition {
	d := outcome.Definition{
		Outcome:    outcome.Outcome{Kind: outcome.Loss, Window: string(annotate.WindowMonth1)},
		Adjust:     []string{"nuclearGrade", "dispersive"},
		Population: outcome.Population{Technique: string(annotate.TechniquePhaco)},
	}
	for _, p := range plantedLoss {
		d.Exposures = append(d.Exposures, p.exposure)
	}
	d.Exposures = append(d.Exposures, more...)
	return d
}

// TestStudiesFindWhatIsPlanted, in a unit of the size of "zonule demo" and in a larger one.
func TestStudiesFindWhatIsPlanted(t *testing.T) {
	for _, cases := range []int{240, 1200} {
		r := outcome.Study(studiedRows(t, cases), lossStudy())
		require.Empty(t, r.Why)
		for i, p := range plantedLoss {
			rel := r.Relations[i]
			t.Logf("%d cases, %s: %.2f %% planted; %.2f (%.2f to %.2f) beside the others", r.N, rel.Name, p.percent, rel.Together.Value, rel.Together.Low, rel.Together.High)
			require.Greater(t, rel.Together.Value, 0.0, rel.Name)
			require.LessOrEqual(t, rel.Together.Low, p.percent, rel.Name)
			require.GreaterOrEqual(t, rel.Together.High, p.percent, rel.Name)
			require.Greater(t, rel.Unadjusted.Value, rel.Adjusted.Value, "%s: hard nuclei stand behind a part of the raw relation", rel.Name)
		}
		nucleus := r.Relations[0]
		require.Greater(t, nucleus.Adjusted.Low, 0.0, "the time of the nucleus is a finding")
		require.Contains(t, nucleus.Text, "fewer cells left")
		require.Contains(t, strings.Join(r.CannotSay, " "), "may only mark the hard nuclei")
	}
}

// TestStudiesFindNothingWhereNothingIsPlanted: opening and closing the eye lead to nothing, once what goes with the same skill
// stands beside them.
func TestStudiesFindNothingWhereNothingIsPlanted(t *testing.T) {
	r := outcome.Study(studiedRows(t, 1200), lossStudy(outcome.Exposure{Kind: outcome.StageTime, Code: "opening"}, outcome.Exposure{Kind: outcome.StageTime, Code: "closing"}))
	require.Empty(t, r.Why)
	for _, rel := range r.Relations[len(plantedLoss):] {
		t.Logf("%d cases, %s: %.2f (%.2f to %.2f) beside the others", r.N, rel.Name, rel.Together.Value, rel.Together.Low, rel.Together.High)
		require.Less(t, rel.Together.Low, 0.0, rel.Name)
		require.Greater(t, rel.Together.High, 0.0, rel.Name)
	}
}
