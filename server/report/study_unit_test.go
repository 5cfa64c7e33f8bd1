package report_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/server/report"
	"zonule/timeline"
	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// studied is an invented unit in which hard nuclei take longer and lose more cells, a minute of the nucleus stage takes about
// 1 % of the cells, and long stages tear a little more often. Two cases have no count after.
func studied(seed uint64, cases int) []cohort.Row {
	chance := rand.New(rand.NewPCG(seed, 20261125))
	day := time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC)
	rows := make([]cohort.Row, cases)
	for i := range rows {
		who, grade, age := chance.IntN(7), 1+chance.IntN(5), 58+chance.IntN(30)
		depth := 3.1 + 0.35*chance.NormFloat64()
		minutes := 4 * math.Exp(0.08*float64(who-3)+0.2*float64(grade-3)+0.3*chance.NormFloat64())
		lost := 0.05 + 0.02*float64(grade) + 0.01*minutes + 0.05*chance.NormFloat64()
		total := int64(minutes * 60_000)
		whole, between := total+360_000, int64(chance.IntN(40_000))
		cells, cv, cde := 70+chance.IntN(80), 0.3, 2+1.1*minutes+1.5*math.Abs(chance.NormFloat64())
		before := 2450 + 220*chance.NormFloat64()
		rows[i] = cohort.Row{
			CaseID: fmt.Sprintf("case-%06d", i), Date: day.AddDate(0, 0, i/3).Format(time.DateOnly), Technique: "phaco",
			Operator: fmt.Sprintf("operator-%02d", who), Grade: "consultant", Tagged: true, Measured: true, Time: &whole, Interruption: between,
			Before: cohort.Before{
				Age: &age, NuclearGrade: &grade, ChamberDepth: &depth, Pupil: "large", Pseudoexfoliation: timeline.No,
				Count: &cohort.Count{Density: before, Cells: &cells, CV: &cv},
			},
			Operation: cohort.Operation{CDE: &cde, MachineFamily: "invented"},
			Stages:    []cohort.Part{{Code: "nucleus", Total: &total, Quality: timeline.Measured, Episodes: 1}},
			After:     []cohort.Seen{{Window: "month-3", Days: 90, Count: &cohort.Count{Density: before * math.Exp(-lost), Cells: &cells, CV: &cv}}},
			Events:    map[string]int{"fragment-contact": chance.IntN(3)},
		}
		rows[i].CapsuleRupture = chance.Float64() < 1/(1+math.Exp(2.2-0.15*(minutes-4)))
	}
	rows[3].After, rows[40].After = nil, nil
	return rows
}

var (
	nucleus = outcome.Exposure{Kind: outcome.StageTime, Code: "nucleus"}
	loss3   = outcome.Outcome{Kind: outcome.Loss, Window: "month-3"}
	rupture = outcome.Outcome{Kind: outcome.Complication, Complication: cohort.CapsuleRupture}
)

// paper is a study with what is printed of it.
type paper struct {
	name    string
	rows    []cohort.Row
	study   outcome.Definition
	edition report.StudyEdition
}

// papers are the studies that the goldens hold.
func papers() []paper {
	made := time.UnixMilli(1_790_000_000_000).UTC()
	grade := 2
	edition := report.StudyEdition{Unit: "Harbour Eye Unit", Invented: true, DataHash: "0f" + fmt.Sprintf("%062d", 7), Made: made}
	frozen, today, few := edition, edition, edition
	frozen.Name, frozen.Question = "Nucleus time and cells", "Asked for the meeting of the quarter: should long nucleus stages be talked over?"
	frozen.Frozen = &annotate.FrozenStudy{Number: 2, Hash: fmt.Sprintf("%064d", 9), Rules: "1", FrozenName: "Noor Haddad", FrozenAt: made.UnixMilli()}
	today.Name, few.Name = "Capsule rupture and the nucleus stage", "Too few"
	return []paper{
		{"study-frozen", studied(1, 90), outcome.Definition{
			Outcome: loss3, Exposures: []outcome.Exposure{nucleus, {Kind: outcome.Dissipated, Scale: outcome.PerDoubling}},
			Population: outcome.Population{Technique: "phaco", From: "2026-01-01"},
		}, frozen},
		{"study-today", studied(2, 160), outcome.Definition{
			Outcome: rupture, Exposures: []outcome.Exposure{nucleus}, Population: outcome.Population{Operator: "", GradeFrom: &grade},
		}, today},
		{"study-few", studied(3, 60), outcome.Definition{
			Outcome: loss3, Exposures: []outcome.Exposure{nucleus}, Population: outcome.Population{Operator: "operator-03"},
		}, few},
	}
}

func TestStudyGoldens(t *testing.T) {
	for _, p := range papers() {
		t.Run(p.name, func(t *testing.T) {
			result := outcome.Study(p.rows, p.study)
			page, err := report.StudyHTML(result, p.edition)
			require.NoError(t, err)
			golden(t, p.name+".html", page)
			pdf, err := report.StudyPDF(result, p.edition)
			require.NoError(t, err)
			file := onDisk(t, pdf)
			golden(t, p.name+".pdf.txt", []byte(tool(t, "pdftotext", "-layout", file, "-")))
			require.Contains(t, tool(t, "qpdf", "--check", file), "No syntax or stream encoding errors found")
		})
	}
}
