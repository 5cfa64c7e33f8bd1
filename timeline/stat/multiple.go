package stat

import (
	"cmp"
	"slices"
)

// Adjusted holds p values adjusted for their number, in the order given. A missing p value stays missing and does not
// count.
type Adjusted struct {
	Holm              []*float64 `json:"holm"`
	BenjaminiHochberg []*float64 `json:"benjaminiHochberg"`
	Bonferroni        []*float64 `json:"bonferroni"`
	N                 int        `json:"n"`
}

// Adjust guards against finding something by looking often. Holm and Bonferroni bound the chance of any false finding,
// Benjamini-Hochberg the expected share of false ones among the findings. Source: Holm S, Scand J Stat 1979;6:65-70;
// Benjamini Y, Hochberg Y, J R Stat Soc B 1995;57:289-300, from memory; checked against R 4.2.2 p.adjust.
func Adjust(p []*float64) (Adjusted, error) {
	order := make([]int, 0, len(p))
	for i, v := range p {
		if v == nil {
			continue
		}
		if !(*v >= 0 && *v <= 1) {
			return Adjusted{}, degenerate(Invalid, "A p value does not lie between 0 and 1 (position %d).", i+1)
		}
		order = append(order, i)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(*p[a], *p[b]) })
	n := len(order)
	a := Adjusted{
		Holm: make([]*float64, len(p)), BenjaminiHochberg: make([]*float64, len(p)), Bonferroni: make([]*float64, len(p)),
		N: n,
	}
	var largest float64
	for rank, i := range order {
		largest = max(largest, min(1, *p[i]*float64(n-rank)))
		a.Holm[i] = pointTo(largest)
		a.Bonferroni[i] = pointTo(min(1, *p[i]*float64(n)))
	}
	smallest := 1.0
	for rank := n - 1; rank >= 0; rank-- {
		i := order[rank]
		smallest = min(smallest, *p[i]*float64(n)/float64(rank+1))
		a.BenjaminiHochberg[i] = pointTo(smallest)
	}
	return a, nil
}
