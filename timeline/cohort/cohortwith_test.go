package cohort

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestWithAnswersAsNew changes, moves and adds rows again and again and compares with a cohort that is made anew.
func TestWithAnswersAsNew(t *testing.T) {
	rows := plan{cases: 400, effects: []float64{-0.2, 0, 0.1, 0.3, 0.5}, missing: 0.1}.invent(5)
	c := New(rows[:300])
	current := map[string]Row{}
	for _, row := range rows[:300] {
		current[row.CaseID] = row
	}
	random := rand.New(rand.NewPCG(8, 17))
	for round := range 30 {
		var changed []Row
		for range 1 + random.IntN(5) {
			row := rows[random.IntN(len(rows))]
			switch random.IntN(5) {
			case 0:
				row.Date = fmt.Sprintf("20%02d-05-01", random.IntN(40))
			case 1:
				row.Operator, row.Steps = fmt.Sprintf("new%d", random.IntN(3)), nil
			case 2:
				row.Tagged = false
			}
			taken := false
			for _, other := range changed {
				taken = taken || other.CaseID == row.CaseID
			}
			if !taken {
				changed = append(changed, row)
				current[row.CaseID] = row
			}
		}
		c = c.With(changed)
		all := make([]Row, 0, len(current))
		for _, row := range current {
			all = append(all, row)
		}
		anew := New(all)
		require.Equal(t, anew.rows, c.rows)
		require.Equal(t, anew.Rows(), c.Rows())
		items := []Item{{Kind: OfStep, Code: "one"}, {Kind: OfOperation}}
		lanes := []Lane{{Operator: "op001"}, {Operator: "new1"}}
		for _, q := range []Question{{Items: items}, {Items: items, GradeFrom: 3}, {Items: items, From: "2010-01-01"}} {
			require.Equal(t, Compare(anew, q, lanes), Compare(c, q, lanes), "round %d", round)
		}
		require.Equal(t, Monitor(anew, MonitoringQuestion{Kind: CapsuleRupture}), Monitor(c, MonitoringQuestion{Kind: CapsuleRupture}))
		for i := 1; i < len(c.rows); i++ {
			require.Negative(t, byDateAndCase(c.rows[i-1], c.rows[i]))
		}
		require.NotNil(t, c.Row(changed[0].Date, changed[0].CaseID))
	}
	require.Nil(t, c.Row("1990-01-01", "nothing"))
}
