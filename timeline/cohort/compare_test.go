package cohort

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
)

func standardUnit() []Row {
	return plan{cases: 240, effects: []float64{-0.2, 0, 0.1, 0.3, -0.1, 0.05}, steepness: 1.5, missing: 0.1}.invent(11)
}

func TestCompareDoesNotDependOnOrder(t *testing.T) {
	rows := standardUnit()
	want := Compare(New(rows), Question{Items: []Item{stepOne, {OfOperation, "", "Operation"}}}, lanesOf(6))
	random := rand.New(rand.NewPCG(1, 1))
	for range 5 {
		random.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
		require.Equal(t, want, Compare(New(rows), want.Question, lanesOf(6)))
	}
}

func TestCompareScales(t *testing.T) {
	rows := standardUnit()
	want := compareOne(rows, 6)
	for i := range rows {
		longer := 3 * *rows[i].Time
		rows[i].Steps[0].Total, rows[i].Steps[0].ByOperator[0].Total = &longer, &longer
	}
	got := compareOne(rows, 6)
	require.InDelta(t, 3*want.Group.Median, got.Group.Median, 1e-6)
	for i, lane := range got.Lanes {
		require.InDelta(t, 3**want.Lanes[i].Median, *lane.Median, 1e-6)
		require.InDelta(t, 3**want.Lanes[i].MedianHigh, *lane.MedianHigh, 1e-6)
		for _, pair := range [][2]*Ratio{{want.Lanes[i].Raw, lane.Raw}, {want.Lanes[i].Adjusted, lane.Adjusted}, {want.Lanes[i].Alone, lane.Alone}} {
			require.InDelta(t, pair[0].Ratio, pair[1].Ratio, 1e-7)
			require.InDelta(t, pair[0].Low, pair[1].Low, 1e-6)
			require.InDelta(t, pair[0].High, pair[1].High, 1e-6)
		}
	}
}

// Other ids for the same people give the same figures, on other lanes.
func TestCompareFollowsTheIds(t *testing.T) {
	rows := standardUnit()
	want := compareOne(rows, 6)
	renamed := func(id string) string {
		var at int
		_, err := fmt.Sscanf(id, "op%d", &at)
		require.NoError(t, err)
		return fmt.Sprintf("op%03d", (at+2)%6)
	}
	for i := range rows {
		rows[i].Operator = renamed(rows[i].Operator)
		rows[i].Steps[0].ByOperator[0].Operator = rows[i].Operator
	}
	got := compareOne(rows, 6)
	require.Equal(t, want.Group, got.Group)
	for i, lane := range want.Lanes {
		other := got.Lanes[(i+2)%6]
		require.Equal(t, lane.Points, other.Points)
		require.Equal(t, lane.Median, other.Median)
		require.InDelta(t, lane.Adjusted.Ratio, other.Adjusted.Ratio, 1e-9)
		require.InDelta(t, lane.Adjusted.Low, other.Adjusted.Low, 1e-7)
		require.InDelta(t, lane.Alone.High, other.Alone.High, 1e-9)
	}
}

func TestCompareOfAlikePeople(t *testing.T) {
	var rows []Row
	for operator := range 4 {
		for i, total := range []int64{60_000, 70_000, 90_000, 100_000, 120_000, 140_000} {
			rows = append(rows, invented(fmt.Sprintf("c%d-%d", operator, i), i, fmt.Sprintf("op%03d", operator), total))
		}
	}
	row := compareOne(rows, 4)
	for _, lane := range row.Lanes {
		for _, r := range []*Ratio{lane.Raw, lane.Adjusted, lane.Alone} {
			require.InDelta(t, 1, r.Ratio, 1e-9)
			require.Less(t, r.Low, 0.99)
			require.Greater(t, r.High, 1.01)
		}
	}
	require.Contains(t, strings.Join(row.Dropped, "; "), "nuclear grade: never known")
	require.Empty(t, row.AdjustedFor)
}

func TestCompareDescribes(t *testing.T) {
	rows := standardUnit()
	row := compareOne(rows, 6)
	var all []int64
	for i := range rows {
		all = append(all, *rows[i].Time)
	}
	slices.Sort(all)
	require.Equal(t, 240, row.Group.N)
	require.Equal(t, 6, row.Group.Operators)
	require.InDelta(t, timeline.Quantile(all, 0.5), row.Group.Median, 0)
	require.InDelta(t, timeline.Quantile(all, 0.95), *row.Group.P95, 0)
	require.Len(t, row.Group.Spread, 200)
	require.Equal(t, all[0], row.Group.Spread[0])
	require.Equal(t, all[239], row.Group.Spread[199])
	require.True(t, slices.IsSorted(row.Group.Spread))
	require.Contains(t, row.AdjustedFor, "nuclear grade")
	require.Contains(t, strings.Join(row.Dropped, "; "), "technique: the same in all cases")
	require.Len(t, row.FellOut, 1)
	require.Equal(t, "nuclear grade is not known", row.FellOut[0].Reason)
	unknown := 0
	for i := range rows {
		if rows[i].Before.NuclearGrade == nil {
			unknown++
		}
	}
	require.Equal(t, unknown, row.FellOut[0].Cases)
	require.Contains(t, row.Notes[1], "The cases that fell out took")
	for i, lane := range row.Lanes {
		require.Equal(t, fmt.Sprintf("op%03d", i), lane.Operator)
		require.Len(t, lane.Points, lane.N)
		require.True(t, slices.IsSortedFunc(lane.Points, func(a, b Point) int { return strings.Compare(a.Date, b.Date) }))
	}
}

// Terms that too few cases know are dropped rather than cases.
func TestCompareDropsWhatIsRarelyKnown(t *testing.T) {
	rows := plan{cases: 240, effects: make([]float64, 6), missing: 0.4}.invent(2)
	row := compareOne(rows, 6)
	require.NotContains(t, row.AdjustedFor, "nuclear grade")
	require.Contains(t, row.AdjustedFor, "small pupil")
	require.Contains(t, row.Dropped[0], "nuclear grade: known, with the terms before it, in only")
	require.Empty(t, row.FellOut)
}

func TestCompareChooses(t *testing.T) {
	rows := standardUnit()
	for i := range rows[:20] {
		rows[i].Tagged, rows[i].Steps = false, nil
	}
	c := New(rows)
	count := func(q Question) int {
		q.Items = []Item{stepOne}
		return Compare(c, q, nil).N.Cases
	}
	require.Equal(t, 220, count(Question{}))
	require.Zero(t, count(Question{List: "other"}))
	require.Zero(t, count(Question{Technique: "msics"}))
	require.Zero(t, count(Question{Part: PartCases}))
	require.Equal(t, 220, count(Question{Part: WholeCases}))
	days := 0
	for i := range rows {
		if rows[i].Tagged && rows[i].Date >= "2020-03-05" && rows[i].Date <= "2020-04-02" {
			days++
		}
	}
	require.Positive(t, days)
	require.Equal(t, days, count(Question{From: "2020-03-05", To: "2020-04-02"}))
	graded := Compare(c, Question{GradeFrom: 4, Items: []Item{stepOne}}, lanesOf(6))
	for _, lane := range graded.Rows[0].Lanes {
		for _, p := range lane.Points {
			require.GreaterOrEqual(t, *p.Grade, 4)
		}
	}
	require.Len(t, graded.N.LeftOut, 2)
	require.Equal(t, "the nuclear grade is not known", graded.N.LeftOut[0].Reason)
}

func TestCompareKeepsTheGroupUnnamed(t *testing.T) {
	enough := plan{cases: 60, effects: make([]float64, 3)}.invent(5)
	require.Empty(t, compareOne(enough, 1).Why)
	// Two of three are shown: the third would be known by what is left.
	hidden := compareOne(enough, 2)
	require.Nil(t, hidden.Group)
	require.Contains(t, hidden.Why, "One person alone")
	for _, lane := range hidden.Lanes {
		require.Nil(t, lane.Raw)
		require.Nil(t, lane.Adjusted)
		require.NotNil(t, lane.Median)
	}
	require.NotNil(t, compareOne(enough, 3).Group)
	two := compareOne(plan{cases: 60, effects: make([]float64, 2)}.invent(5), 0)
	require.Equal(t, "2 people: too few to stay unnamed (at least 3).", two.Why)
	few := compareOne(plan{cases: 9, effects: make([]float64, 3)}.invent(5), 0)
	require.Equal(t, "9 cases: too few to stay unnamed (at least 10).", few.Why)
	require.Equal(t, "No case gives this time.", Compare(New(nil), Question{Items: []Item{stepOne}}, nil).Rows[0].Why)
}

func TestFewCasesArePointsOnly(t *testing.T) {
	rows := standardUnit()
	for i := range 4 {
		rows = append(rows, invented(fmt.Sprintf("new%d", i), 300+i, "op100", 100_000))
	}
	row := Compare(New(rows), Question{Items: []Item{stepOne}}, []Lane{{Operator: "op100"}, {Operator: "nobody"}}).Rows[0]
	lane := row.Lanes[0]
	require.Len(t, lane.Points, 4)
	require.Nil(t, lane.Median)
	require.Nil(t, lane.Raw)
	require.Equal(t, "4 cases: too few for a summary (at least 5).", lane.Why)
	require.Equal(t, "No case yet.", row.Lanes[1].Why)
}

// The same truth for everybody, the harder eyes to some: the adjusted ratio is nearer to 1 than the raw one.
func TestAdjustedIsNearerThanRaw(t *testing.T) {
	row := compareOne(plan{cases: 2000, effects: make([]float64, 6), steepness: 2}.invent(3), 6)
	for _, at := range []int{0, 5} {
		lane := row.Lanes[at]
		require.Less(t, math.Abs(math.Log(lane.Adjusted.Ratio)), math.Abs(math.Log(lane.Raw.Ratio))/3)
	}
}
