package outcome

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// planted is an invented unit whose truth is known: hard nuclei take longer and lose more cells, trainees are slower, and
// operators differ. perMinute is the log loss for a minute of the nucleus stage, oddsPerMinute the log odds of a rupture.
type planted struct {
	seed                     uint64
	cases, operators         int
	perMinute, oddsPerMinute float64
	ruptureLogit             float64 // 0: none
	hands                    float64 // spread of the operators' log odds of a rupture
	counting                 bool    // counts carry sampling error
	uneven                   bool    // a third of the counts rest on 8 cells, the others on 400
	errorsUnknown            bool    // how many cells were counted is not recorded
}

func (p planted) rows() []cohort.Row {
	chance := rand.New(rand.NewPCG(p.seed, 20261125))
	pace, hand, tears := make([]float64, p.operators), make([]float64, p.operators), make([]float64, p.operators)
	for g := range pace {
		pace[g], hand[g], tears[g] = 0.2*chance.NormFloat64(), 0.02*chance.NormFloat64(), p.hands*chance.NormFloat64()
	}
	day := time.Date(2025, 1, 6, 0, 0, 0, 0, time.UTC)
	rows := make([]cohort.Row, p.cases)
	for i := range rows {
		who := chance.IntN(p.operators)
		grade := 1 + chance.IntN(5)
		age := 60 + chance.IntN(30)
		depth := 3.1 + 0.4*chance.NormFloat64()
		minutes := 4 * math.Exp(pace[who]+0.2*float64(grade-3)+0.3*chance.NormFloat64())
		y := 0.05 + 0.03*float64(grade) + p.perMinute*minutes + hand[who] + 0.05*chance.NormFloat64()
		density := 2500 + 250*chance.NormFloat64()
		cells := 60 + chance.IntN(120)
		if p.uneven {
			cells = []int{8, 400, 400}[cells%3]
		}
		before, after := density, density*math.Exp(-y)
		if p.counting {
			before *= math.Exp(0.3 / math.Sqrt(float64(cells)) * chance.NormFloat64())
			after *= math.Exp(0.3 / math.Sqrt(float64(cells)) * chance.NormFloat64())
		}
		total := int64(minutes * minute)
		whole := total + 6*minute
		cv, cde := 0.3, 2+1.2*minutes+chance.NormFloat64()
		rows[i] = cohort.Row{
			CaseID: fmt.Sprintf("case-%06d", i), Date: day.AddDate(0, 0, i/4).Format("2006-01-02"), Technique: "phaco",
			Operator: fmt.Sprintf("operator-%02d", who), Grade: "consultant", Tagged: true, Measured: true, Time: &whole,
			Before:    cohort.Before{Age: &age, NuclearGrade: &grade, ChamberDepth: &depth, Pupil: "large", Pseudoexfoliation: timeline.No, Count: &cohort.Count{Density: before, Cells: &cells, CV: &cv}},
			Operation: cohort.Operation{CDE: &cde, MachineFamily: "invented"},
			Steps:     []cohort.Part{{Code: "cortex", Total: &total, Quality: timeline.Measured, Episodes: 1}},
			Stages:    []cohort.Part{{Code: "nucleus", Total: &total, Quality: timeline.Measured, Episodes: 1}},
			After:     []cohort.Seen{{Window: "month-3", Days: 90, Count: &cohort.Count{Density: after, Cells: &cells, CV: &cv}}},
			Events:    map[string]int{"fragment-contact": chance.IntN(3)},
		}
		if p.errorsUnknown {
			rows[i].Before.Count.Cells = nil
		}
		if p.ruptureLogit != 0 {
			logit := p.ruptureLogit + 0.4*float64(grade-3) + p.oddsPerMinute*(minutes-4) + tears[who]
			rows[i].CapsuleRupture = chance.Float64() < 1/(1+math.Exp(-logit))
		}
	}
	return rows
}

// nucleusLoss asks whether the time of the nucleus stage goes with the loss at three months.
func nucleusLoss() Definition {
	return Definition{Outcome: Outcome{Kind: Loss, Window: "month-3"}, Exposures: []Exposure{{Kind: StageTime, Code: "nucleus"}}}
}

// refer points to rows.
func refer(rows []cohort.Row) []*cohort.Row {
	all := make([]*cohort.Row, len(rows))
	for i := range rows {
		all[i] = &rows[i]
	}
	return all
}
