package stat

import (
	"cmp"
	"slices"
)

// midRanks gives each value its rank from 1, ties the mean of theirs, and the tie term sum of t^3 - t over groups of
// equal values.
func midRanks[T cmp.Ordered](x []T) (ranks []float64, tieTerm float64) {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	ranks = make([]float64, len(x))
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && x[order[to]] == x[order[from]] {
			to++
		}
		t := float64(to - from)
		tieTerm += t*t*t - t
		for _, i := range order[from:to] {
			ranks[i] = float64(from+to+1) / 2
		}
		from = to
	}
	return ranks, tieTerm
}

// KruskalWallis tests whether several groups of times (ms) come from one distribution; H is divided by the tie
// correction, p from chi-squared. Source: Kruskal WH, Wallis WA, J Am Stat Assoc 1952;47:583-621, from memory; checked
// against R 4.2.2 kruskal.test.
func KruskalWallis(groups [][]int64) (Test, error) {
	if len(groups) < 2 {
		return Test{}, degenerate(TooFew, "A comparison needs two groups.")
	}
	for i, g := range groups {
		if len(g) == 0 {
			return Test{}, degenerate(TooFew, "Group %d is empty.", i+1)
		}
	}
	ranks, tieTerm := midRanks(slices.Concat(groups...))
	n := float64(len(ranks))
	correction := 1 - tieTerm/(n*n*n-n)
	if !(correction > 0) {
		return Test{}, degenerate(Constant, "All values are equal: there is nothing to compare.")
	}
	var h float64
	for from, i := 0, 0; i < len(groups); i++ {
		size := float64(len(groups[i]))
		d := sum(ranks[from:from+len(groups[i])])/size - (n+1)/2
		h += size * d * d
		from += len(groups[i])
	}
	h *= 12 / (n * (n + 1)) / correction
	df := float64(len(groups) - 1)
	test := Test{Statistic: h, DF: df, P: chiSquaredUpper(h, df), N: len(ranks)}
	for _, g := range groups {
		if len(g) < 5 {
			test.Notes = append(test.Notes, "A group has under five values: the p value is rough.")
			break
		}
	}
	return test, nil
}
