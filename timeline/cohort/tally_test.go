package cohort

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTallyOf(t *testing.T) {
	share := func(ids ...string) []Part {
		part := Part{Code: "cortex"}
		for _, id := range ids {
			part.ByOperator = append(part.ByOperator, Share{Operator: id, Episodes: 1})
		}
		return []Part{part}
	}
	c := New([]Row{
		{CaseID: "1", Date: "2026-01-05", Operator: "a", Supervisor: "t", Steps: share("a"), Events: map[string]int{"ovd-top-up": 2}},
		{CaseID: "2", Date: "2026-02-05", Operator: "a", Supervisor: "t", Steps: share("a", "t"), Events: map[string]int{"ovd-top-up": 1}, Complications: []Mishap{{Kind: "vitreous-loss"}, {Kind: "vitreous-loss"}}},
		{CaseID: "3", Date: "2026-02-06", Operator: "b", Assistants: []string{"a"}, Steps: share("b")},
		{CaseID: "4", Date: "2026-02-07", Operator: "a"}, // not marked: the lead counts
		{CaseID: "5", Date: "2026-09-01", Operator: "a", Steps: share("a")},
	})
	tally := c.TallyOf("a", "2026-01-01", "2026-06-30")
	require.Equal(t, Tally{
		Led: 2, Shared: 1, Assisted: 1, CaseIDs: []string{"1", "2", "4"},
		Events:        []CodeCount{{Code: "ovd-top-up", Times: 3, Cases: 2}},
		Complications: []CodeCount{{Code: "vitreous-loss", Times: 2, Cases: 1}},
	}, tally)
	trainer := c.TallyOf("t", "", "")
	require.Equal(t, []int{0, 1, 0, 2}, []int{trainer.Led, trainer.Shared, trainer.Assisted, trainer.Supervised})
	require.Equal(t, 3, c.TallyOf("a", "", "").Led)
}
