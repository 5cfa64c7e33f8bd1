package annotate

import (
	"fmt"
	"hash/fnv"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
)

// TestItemRules: what is stored of the items is only right for the list that it was made with. When this fails, raise
// itemRules and take over the new fingerprint.
func TestItemRules(t *testing.T) {
	require.LessOrEqual(t, len(wantedItems), 63, "a bit for each")
	list := fnv.New64a()
	for _, wanted := range wantedItems {
		fmt.Fprintln(list, wanted.item, wanted.part)
	}
	fmt.Fprintln(list, timeline.ExpectedRisk(timeline.RiskInput{}))
	require.Equal(t, "1: b2621ac96e76daad", fmt.Sprintf("%d: %x", itemRules, list.Sum64()))
}

func TestItemFacts(t *testing.T) {
	c := Case{Date: "2026-03-01"}
	c.Before.Age = new(int)
	facts := itemFactsOf(c, nil)
	missing := CompletenessOf(c, nil).Missing
	n := 0
	for i, wanted := range wantedItems {
		if facts.lacks(i) {
			require.Equal(t, wanted.item, missing[n].Item)
			n++
		}
	}
	require.Equal(t, len(missing), n)
	require.Equal(t, len(wantedItems)-1, n, "the age")
	_, known := facts.chance()
	require.False(t, known)
}
