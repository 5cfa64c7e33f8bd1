package outcome

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

// contactsOf gives the cases of one operator contacts, and no other.
func contactsOf(rows []cohort.Row, operator string) []cohort.Row {
	for i := range rows {
		rows[i].Events = map[string]int{"fragment-contact": 0}
		if rows[i].Operator == operator {
			rows[i].Events["fragment-contact"] = i % 3
		}
	}
	return rows
}

// TestOneOperatorAloneDecides: where one operator alone has an exposure nothing stands against it but who operated, and no figure
// is told; how cases of that operator differ among themselves is.
func TestOneOperatorAloneDecides(t *testing.T) {
	loss, rupture := nucleusLoss(), nucleusRupture()
	loss.Exposures, rupture.Exposures = []Exposure{{Kind: Contacts}}, []Exposure{{Kind: Contacts}}
	loss.Population.WithRuptures = true
	for _, operators := range []int{3, 8} {
		rows := contactsOf(planted{seed: 5000, cases: 240, operators: operators, counting: true, ruptureLogit: -1.2}.rows(), "operator-01")
		for _, d := range []Definition{loss, rupture} {
			rel := Study(rows, d).Relations[0]
			require.Nil(t, rel.Adjusted)
			require.Nil(t, rel.Unadjusted)
			require.Contains(t, rel.Text, decidedByOne)
		}
		within := Study(rows, loss).Relations[0].Sensitivity[0]
		require.Equal(t, "between cases of the same operator", within.Name)
		require.NotNil(t, within.Size)
	}
	alone := contactsOf(planted{seed: 5000, cases: 240, operators: 1, counting: true}.rows(), "operator-00")
	require.NotNil(t, Study(alone, loss).Relations[0].Adjusted, "one operator's own cases")
}

// TestPAgreesWithTheInterval: in a large unit whose operators differ much the plain p is too small to be written; that of the
// interval that respects them is not.
func TestPAgreesWithTheInterval(t *testing.T) {
	d := nucleusRupture()
	d.Exposures = []Exposure{{Kind: Contacts}}
	for seed := range uint64(4) {
		rows := planted{seed: 40 + seed, cases: 6000, operators: 6, ruptureLogit: -1.5, hands: 1.5}.rows()
		for i := range rows {
			rows[i].Events = map[string]int{"fragment-contact": int(rows[i].Operator[len(rows[i].Operator)-1]-'0') + i%2}
		}
		a := Study(rows, d).Relations[0].Adjusted
		require.Equal(t, "profile, clustered", a.Interval)
		require.Equal(t, oddsFound(*a), *a.P < 0.05, "%+v, p %g", a, *a.P)
	}
}

// TestWhatHardlyVariesIsNotTold: nothing overflows, and a figure per minute is not drawn out of a few frames.
func TestWhatHardlyVariesIsNotTold(t *testing.T) {
	rows := planted{seed: 4, cases: 120, operators: 6, counting: true, ruptureLogit: -1}.rows()
	torn := 0
	for i := range rows {
		if rows[i].CapsuleRupture && torn < 2 {
			torn++
			rows[i].Interruption = int64(20 * torn)
		}
		v := 70.0
		rows[i].Operation.FluidUsed = &v
	}
	rupture, loss := nucleusRupture(), nucleusLoss()
	rupture.Exposures = []Exposure{{Kind: Interruption}}
	loss.Population.WithRuptures = true
	loss.Exposures = append(loss.Exposures, Exposure{Kind: Interruption}, Exposure{Kind: Fluid}, Exposure{Kind: Contacts})
	for _, d := range []Definition{rupture, loss} {
		r := Study(rows, d)
		_, err := json.Marshal(r)
		require.NoError(t, err)
		for _, rel := range r.Relations {
			switch rel.Exposure.Kind {
			case Interruption, Fluid:
				require.Nil(t, rel.Adjusted)
				require.Contains(t, rel.Text, "nothing can be said")
			default:
				require.NotNil(t, rel.Together, "the others are fitted beside each other")
			}
		}
	}
}

// TestAnOddsRatioOfOne: a relation that is none has no case that makes it.
func TestAnOddsRatioOfOne(t *testing.T) {
	rows := planted{seed: 4, cases: 40, operators: 4}.rows()
	for i := range rows {
		rows[i].CapsuleRupture = i%2 == 0
		rows[i].Events = map[string]int{"fragment-contact": (i / 2) % 2}
	}
	d := nucleusRupture()
	d.Exposures, d.Adjust = []Exposure{{Kind: Contacts}}, []string{}
	r := Study(rows, d)
	_, err := json.Marshal(r)
	require.NoError(t, err)
	rel := r.Relations[0]
	require.InDelta(t, 1, rel.Adjusted.Value, 1e-9)
	require.Empty(t, rel.Driving)
	require.Contains(t, fmt.Sprint(rel.Checks), "Without the event farthest out it is")
}

// TestARareFactor: what one case alone has is not allowed for, so that it decides nothing alone.
func TestARareFactor(t *testing.T) {
	rows := planted{seed: 4, cases: 120, operators: 3, counting: true}.rows()
	rows[7].Before.Pseudoexfoliation = timeline.Yes
	r := Study(rows, nucleusLoss())
	require.Equal(t, "hc3", r.Relations[0].Adjusted.Interval)
	require.Contains(t, r.NotAdjusted, Adjustment{"pseudoexfoliation", "pseudoexfoliation", "It is the same in all of these cases, or in all but one."})
	// An exposure that one case of the only operator has is told, and on what it rests.
	for i := range rows {
		rows[i].Events, rows[i].Operator = map[string]int{}, "operator-00"
	}
	rows[9].Events = map[string]int{"fragment-contact": 1}
	d := nucleusLoss()
	d.Exposures = []Exposure{{Kind: Contacts}}
	rel := Study(rows, d).Relations[0]
	require.Equal(t, "classical", rel.Adjusted.Interval)
	require.Contains(t, fmt.Sprint(rel.Checks), "One case alone carries a term of this model")
}

// TestFactorsDoNotLoseTheCases: each of six factors is missing in other cases; those that would cost too many are left out.
func TestFactorsDoNotLoseTheCases(t *testing.T) {
	rows := planted{seed: 7, cases: 200, operators: 6, counting: true}.rows()
	for i := range rows {
		b := &rows[i].Before
		length := 23 + float64((i*13)%17)/8
		b.AxialLength, b.Pupil = &length, []string{"large", "medium", "small"}[(i*5)%3]
		rows[i].Grade = []string{"consultant", "fellow"}[(i*3)%2]
		switch i % 7 {
		case 0:
			b.NuclearGrade = nil
		case 1:
			b.Pupil = ""
		case 2:
			b.Pseudoexfoliation = ""
		case 3:
			rows[i].Grade = ""
		case 4:
			b.ChamberDepth = nil
		case 5:
			b.AxialLength = nil
		}
	}
	r := Study(rows, nucleusLoss())
	require.Empty(t, r.Why)
	require.Equal(t, "nuclearGrade", r.AdjustedFor[0].Code)
	require.Greater(t, float64(r.N), (1-mostLost)*float64(r.Population)-1)
	require.Contains(t, fmt.Sprint(r.NotAdjusted), "Adjusting for it beside the others would lose")

	// Who insists is told what it costs.
	few := rows[:60]
	d := nucleusLoss()
	d.Adjust = []string{"nuclearGrade", "pupil", "age", "chamberDepth", "axialLength"}
	require.Contains(t, fmt.Sprint(Study(few, d).Notes), "under 10 for each")
}

// TestWhatIsTheSameDoesNotDiffer: rounding makes no spread, and a grade that is not known is not lost without a word.
func TestWhatIsTheSameDoesNotDiffer(t *testing.T) {
	require.Equal(t, Spread{N: 3, Mean: 0.1, Median: 0.1, Q1: 0.1, Q3: 0.1}, spreadOf([]float64{0.1, 0.1, 0.1}))
	rows := planted{seed: 6, cases: 300, operators: 6, counting: true}.rows()
	for i := range rows {
		if i%4 == 0 {
			rows[i].After = nil
		}
		if i%10 == 1 {
			rows[i].Before.NuclearGrade = nil
		}
	}
	d, three := nucleusLoss(), 3
	d.Population.GradeFrom, d.Population.GradeTo = &three, &three
	r := Study(rows, d)
	for _, difference := range r.Differences {
		if difference.Code == "nuclearGrade" {
			require.Nil(t, difference.Standardised)
		}
		require.GreaterOrEqual(t, difference.Fell.N, fewestShare)
	}
	require.Contains(t, r.FellOut, cohort.LeftOut{Reason: "The nuclear grade is not recorded, so that it is not known whether the case belongs here.", Cases: 30})
}

// TestPartsKeepTheRails: leaving cases out does not lead under what is modelled.
func TestPartsKeepTheRails(t *testing.T) {
	rows := planted{seed: 9, cases: 100, operators: 4}.rows()
	for i := range 10 {
		rows[i*7].CapsuleRupture = true
	}
	why := map[string]string{}
	for _, s := range Study(rows, nucleusRupture()).Relations[0].Sensitivity {
		why[s.Name] = s.Why
	}
	require.Equal(t, "9 cases with the complication: under 10 nothing is modelled.", why["without the event farthest out"])
	small := Study(planted{seed: 9, cases: 20, operators: 4, counting: true}.rows(), nucleusLoss())
	for _, s := range small.Relations[0].Sensitivity {
		require.NotEqual(t, "without the most influential cases", s.Name)
		require.True(t, s.Size == nil || s.Size.N >= fewestCases, s.Name)
	}
	require.NotContains(t, fmt.Sprint(small.Relations[0].Checks), "drives this")
}

// TestTheBandHoldsWhatTheIntervalHolds: where operators differ the band is as wide as the interval, not as the plain one.
func TestTheBandHoldsWhatTheIntervalHolds(t *testing.T) {
	rows := planted{seed: 40, cases: 3000, operators: 6, ruptureLogit: -1.5, hands: 1.5}.rows()
	for i := range rows {
		rows[i].Events = map[string]int{"fragment-contact": int(rows[i].Operator[len(rows[i].Operator)-1]-'0') + i%2}
	}
	d := nucleusRupture()
	d.Exposures = []Exposure{{Kind: Contacts}}
	rel := Study(rows, d).Relations[0]
	logit := func(percent float64) float64 { return math.Log(percent / (100 - percent)) }
	first := rel.Chart.Line[0]
	plain := math.Log(*rel.Adjusted.OtherHigh / *rel.Adjusted.OtherLow)
	require.Greater(t, logit(first.High)-logit(first.Low), 3*plain)
}
