package cohort

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
)

// learner makes the cases of one person along a curve in ms, and a background of three others.
func learner(seed uint64, cases int, curve func(n float64) float64, sd float64) []Row {
	random := rand.New(rand.NewPCG(seed, 31))
	var rows []Row
	for i := range cases {
		total := int64(curve(float64(i+1)) * math.Exp(sd*random.NormFloat64()))
		grade := 1 + random.IntN(5)
		row := invented(fmt.Sprintf("own%05d", i), i, "learner", total)
		row.Before.NuclearGrade = &grade
		rows = append(rows, row)
	}
	for i := range 60 {
		rows = append(rows, invented(fmt.Sprintf("other%03d", i), i, fmt.Sprintf("op%03d", i%3), int64(80_000*math.Exp(0.3*random.NormFloat64()))))
	}
	return rows
}

func learn(rows []Row, grade bool) Learning {
	return Learn(New(rows), LearningQuestion{
		Question: Question{Technique: "phaco"}, Item: stepOne, Lane: Lane{Operator: "learner", Name: "You", Own: true}, Grade: grade,
	})
}

func TestLearningRateInWords(t *testing.T) {
	l := learn(learner(1, 80, func(n float64) float64 { return 300_000 * math.Pow(n, math.Log2(0.88)) }, 0), false)
	require.InDelta(t, 0.88, l.Rate.Ratio, 1e-4)
	require.Equal(t, "Each doubling of cases takes 12 % off (95 % interval 12 % to 12 %).", l.Words[0])
	require.Equal(t, 1, l.Curve[0].Number)
	require.Equal(t, 80, l.Curve[len(l.Curve)-1].Number)
	require.InDelta(t, 300_000, l.Curve[0].Value, 50)
	require.Equal(t, 3, l.Others.Operators)
	require.Contains(t, l.Words[len(l.Words)-1], "the median of the others is")
	require.NotEmpty(t, l.Smooth)
	require.NotEmpty(t, l.Methods)
	steady := learn(learner(2, 80, func(float64) float64 { return 100_000 }, 0.3), false)
	require.Contains(t, steady.Words[0], "do not show a change with practice")
	slower := learn(learner(3, 80, func(n float64) float64 { return 100_000 * math.Pow(n, 0.2) }, 0.1), false)
	require.Contains(t, slower.Words[0], "Each doubling of cases adds 1")
}

// Planted rates are covered by the 95 % interval as often as they should be, adjusted for the grade or not; over 400 learners
// seeded the bounds are three standard errors of a share.
func TestLearningCovers(t *testing.T) {
	const rate, learners = 0.88, 400
	for _, grade := range []bool{false, true} {
		inside := 0
		for seed := range uint64(learners) {
			l := learn(learner(seed, 40, func(n float64) float64 { return 300_000 * math.Pow(n, math.Log2(rate)) }, 0.3), grade)
			if l.Rate.Low <= rate && rate <= l.Rate.High {
				inside++
			}
		}
		coverage := float64(inside) / learners
		t.Logf("grade %v: coverage %.4f", grade, coverage)
		require.InDelta(t, 0.95, coverage, 0.033)
	}
}

// A bend and a floor are claimed rarely where there is none, and found where there is one.
func TestLearningBendsAndFloors(t *testing.T) {
	const learners = 100
	count := func(curve func(n float64) float64, sd float64) (bends, floors int) {
		for seed := range uint64(learners) {
			l := learn(learner(1000+seed, 120, curve, sd), false)
			if l.Break != nil {
				bends++
			}
			if l.Floor != nil {
				floors++
			}
		}
		return bends, floors
	}
	bends, floors := count(func(n float64) float64 { return 300_000 * math.Pow(n, -0.2) }, 0.25)
	t.Logf("of a straight curve to 0: bends %d, floors %d of %d", bends, floors, learners)
	require.LessOrEqual(t, bends, learners/20)
	require.LessOrEqual(t, floors, learners/20)
	bends, _ = count(func(n float64) float64 { return 300_000 * math.Pow(min(n, 30), -0.4) }, 0.2)
	t.Logf("bends of a bent curve: %d of %d", bends, learners)
	require.Greater(t, bends, learners*8/10)
	_, floors = count(func(n float64) float64 { return 250_000*math.Pow(n, -0.8) + 60_000 }, 0.05)
	t.Logf("floors of a curve with one: %d of %d", floors, learners)
	require.Greater(t, floors, learners*8/10)
}

func TestLearningBendPlace(t *testing.T) {
	l := learn(learner(9, 200, func(n float64) float64 { return 300_000 * math.Pow(min(n, 30), -0.4) }, 0.1), false)
	require.NotNil(t, l.Break)
	require.InDelta(t, 30, l.Break.At, 12)
	require.InDelta(t, math.Exp2(-0.4), l.Break.Before, 0.05)
	require.InDelta(t, 1, l.Break.After, 0.05)
	require.Len(t, l.Break.Curve, len(l.Curve))
}

func TestLearningFloorLevel(t *testing.T) {
	l := learn(learner(4, 150, func(n float64) float64 { return 250_000*math.Pow(n, -0.8) + 60_000 }, 0.05), false)
	require.NotNil(t, l.Floor)
	require.InDelta(t, 60_000, l.Floor.Level, 10_000)
	require.Less(t, l.Floor.Low, l.Floor.Level)
	require.Less(t, l.Floor.Level, l.Floor.High)
}

func TestLearningRefusesFewCases(t *testing.T) {
	l := learn(learner(1, 9, func(float64) float64 { return 100_000 }, 0.2), false)
	require.Len(t, l.Points, 9)
	require.Nil(t, l.Rate)
	require.Equal(t, "9 cases with a time: a curve needs 10.", l.Why)
	rows := learner(1, 30, func(float64) float64 { return 100_000 }, 0.2)
	for i := range 25 {
		rows[i].Before.NuclearGrade = nil
	}
	l = learn(rows, true)
	require.Contains(t, l.Why, "an adjusted curve needs 10")
	require.Nil(t, l.Rate)
	require.Equal(t, []LeftOut{{"the nuclear grade is not known", 25}}, l.LeftOut)
	l = Learn(New(rows), LearningQuestion{Item: stepOne, Lane: Lane{Operator: "nobody"}})
	require.Equal(t, "0 cases with a time: a curve needs 10.", l.Why)
	require.NotNil(t, l.Others)
	l = learn(learner(1, 12, func(float64) float64 { return 100_000 }, 0), false)
	require.NotEmpty(t, l.Why, "equal times have no curve")
	require.Nil(t, l.Rate)
}

// The number counts operations in which the person did the step: not those supervised, those before the period too, and
// those whose times cannot be used.
func TestLearningNumbers(t *testing.T) {
	day := 0
	next := func(row Row) Row {
		row.CaseID = fmt.Sprintf("c%03d", day)
		row.Date = fmt.Sprintf("2026-01-%02d", day+1)
		day++
		return row
	}
	own := func() Row { return next(invented("", 0, "learner", int64(60_000+1000*day))) }
	unmeasured := own()
	unmeasured.Steps[0].Quality = timeline.LowerBound
	untagged := next(Row{Technique: "phaco", Operator: "learner"})
	supervised := next(invented("", 0, "op000", 70_000))
	supervised.Supervisor = "learner"
	partly := own()
	partly.Steps = []Part{step("other", share("learner", 9000)), step("one", share("op001", 70_000))}
	helped := own()
	helped.Operator = "op000"
	helped.Steps = []Part{step("other", share("op000", 9000)), step("one", share("learner", 70_000))}
	other := next(invented("", 0, "learner", 60_000))
	other.Technique = "msics"
	rows := []Row{unmeasured, untagged, supervised, partly, helped, other}
	for range 10 {
		rows = append(rows, own())
	}
	l := learn(rows, false)
	numbers := []int{}
	for _, p := range l.Points {
		numbers = append(numbers, p.Number)
	}
	require.Equal(t, []int{3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13}, numbers)
	require.True(t, l.Points[0].Part)
	later := Learn(New(rows), LearningQuestion{Question: Question{Technique: "phaco", From: rows[8].Date}, Item: stepOne, Lane: Lane{Operator: "learner"}})
	require.Equal(t, 6, later.Points[0].Number)
	require.Contains(t, l.LeftOut, LeftOut{"something is missing from the recording, so the time is only a lower bound", 1})
}

// Harder eyes as experience grows hide the learning, unless the curve is adjusted for the grade.
func TestLearningAdjustsForTheGrade(t *testing.T) {
	random := rand.New(rand.NewPCG(6, 6))
	rows := learner(6, 100, func(n float64) float64 { return 100_000 }, 0)
	for i := range 100 {
		grade := min(5, 1+i/25+random.IntN(2))
		total := int64(200_000 * math.Pow(float64(i+1), math.Log2(0.85)) * math.Exp(0.25*float64(grade)+0.15*random.NormFloat64()))
		own := invented(fmt.Sprintf("own%05d", i), i, "learner", total)
		own.Before.NuclearGrade = &grade
		rows[i] = own
	}
	plain, adjusted := learn(rows, false), learn(rows, true)
	require.Greater(t, plain.Rate.Low, 0.86)
	require.Less(t, adjusted.Rate.Low, 0.85)
	require.Greater(t, adjusted.Rate.High, 0.85)
	require.Contains(t, adjusted.Notes[len(adjusted.Notes)-1], "Adjusted for the nuclear grade; the curve is drawn for grade 3.")
}
