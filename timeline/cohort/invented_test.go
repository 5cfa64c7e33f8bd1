package cohort

import (
	"fmt"
	"math"
	"math/rand/v2"

	"zonule/timeline"
)

// plan is an invented unit in which the truth is known.
type plan struct {
	cases     int
	effects   []float64 // of operators, log
	steepness float64   // how far the harder eyes go to the later operators, 0 not at all
	error     func(random *rand.Rand, operator int) float64
	missing   float64 // share of eyes without a nuclear grade
}

// The truth of invented units: what a grade, a small and a medium pupil add to the log time.
const (
	perGrade, smallPupil, mediumPupil = 0.18, 0.25, 0.08
)

// invent makes the rows of a unit; seeded. Step "one" is measured in all cases.
func (p plan) invent(seed uint64) []Row {
	random := rand.New(rand.NewPCG(seed, 17))
	rows := make([]Row, p.cases)
	for i := range rows {
		operator := random.IntN(len(p.effects))
		hard := p.steepness * (float64(operator)/float64(max(1, len(p.effects)-1)) - 0.5)
		grade := min(5, max(1, int(math.Round(3+hard+0.8*random.NormFloat64()))))
		pupil, widened := "large", 0.0
		switch u := random.Float64() - hard/10; {
		case u < 0.15:
			pupil, widened = "small", smallPupil
		case u < 0.4:
			pupil, widened = "medium", mediumPupil
		}
		noise := 0.35 * random.NormFloat64()
		if p.error != nil {
			noise = p.error(random, operator)
		}
		log := math.Log(90_000) + perGrade*float64(grade-3) + widened + p.effects[operator] + noise
		row := invented(fmt.Sprintf("c%06d", i), i, fmt.Sprintf("op%03d", operator), int64(math.Round(math.Exp(log))))
		row.Before = Before{Pupil: pupil, Pseudoexfoliation: timeline.No, BrunescentOrWhite: timeline.No}
		if random.Float64() < 0.05 {
			row.Before.Pseudoexfoliation = timeline.Yes
		}
		if random.Float64() >= p.missing {
			row.Before.NuclearGrade = &grade
		}
		age, axial, depth := 60+random.IntN(30), 23.5+random.NormFloat64(), 3.1+0.3*random.NormFloat64()
		row.Before.Age, row.Before.AxialLength, row.Before.ChamberDepth = &age, &axial, &depth
		rows[i] = row
	}
	return rows
}

// invented is a whole case with one step.
func invented(id string, day int, operator string, total int64) Row {
	return Row{
		CaseID: id, Date: fmt.Sprintf("%04d-%02d-%02d", 2020+day/336%50, 1+day/28%12, 1+day%28), Technique: "phaco",
		Operator: operator, StepList: "list", Tagged: true, Time: &total, Measured: true,
		Steps: []Part{{
			Code: "one", Total: &total, Episodes: 1, Quality: timeline.Measured,
			ByOperator: []Share{{Operator: operator, Total: &total, Episodes: 1, Quality: timeline.Measured}},
		}},
	}
}

var stepOne = Item{OfStep, "one", "Step one"}

func lanesOf(operators int) []Lane {
	lanes := make([]Lane, operators)
	for i := range lanes {
		lanes[i] = Lane{Operator: fmt.Sprintf("op%03d", i), Name: fmt.Sprintf("Person %d", i)}
	}
	return lanes
}

func compareOne(rows []Row, operators int) ComparisonRow {
	return Compare(New(rows), Question{Items: []Item{stepOne}}, lanesOf(operators)).Rows[0]
}
