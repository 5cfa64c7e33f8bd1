package stat

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A pair exactly as far apart as the window still belongs together; one a millisecond further does not.
func TestWindowHoldsItsEdge(t *testing.T) {
	window := int64(500)
	require.Len(t, matchInOrder([]int64{1000}, []int64{1500}, &window).differences, 1)
	require.Empty(t, matchInOrder([]int64{1000}, []int64{1501}, &window).differences)
}

// bestByTrying is the most pairs and the least sum over all order-preserving matchings, tried one by one.
func bestByTrying(a, b []int64, window *int64) cost {
	if len(a) == 0 || len(b) == 0 {
		return cost{}
	}
	best := bestByTrying(a[1:], b, window)
	for j, at := range b {
		distance := max(at-a[0], a[0]-at)
		if window != nil && distance > *window {
			continue
		}
		rest := bestByTrying(a[1:], b[j+1:], window)
		if c := (cost{rest.pairs + 1, rest.sum + distance}); c.better(best) {
			best = c
		}
	}
	return best
}

// The matching found is as good as the best of all.
func TestMatchingIsTheBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) []int64 {
			instants := rapid.SliceOfNDistinct(rapid.Int64Range(0, 60), 0, 6, rapid.ID[int64]).Draw(t, name)
			slices.Sort(instants)
			return instants
		}
		a, b := draw("a"), draw("b")
		var window *int64
		if rapid.Bool().Draw(t, "bounded") {
			window = pointTo(rapid.Int64Range(0, 30).Draw(t, "window"))
		}
		got := matchInOrder(a, b, window)
		want := bestByTrying(a, b, window)
		var total int64
		for _, d := range got.differences {
			total += max(d, -d)
		}
		require.Equal(t, want, cost{len(got.differences), total})
	})
}
