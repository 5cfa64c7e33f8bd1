package stat

import (
	"math"
	"slices"
)

// smallSample is the size below which, without ties, the exact distribution is used. Source: common practice (R).
const smallSample = 50

// RankComparison compares two groups of times. UX counts the pairs with x > y and half the ties. The exact figures are
// nil with ties or from 50 values in a group on; the normal ones are nil when all values are equal.
type RankComparison struct {
	NX       int      `json:"nX"`
	NY       int      `json:"nY"`
	UX       float64  `json:"uX"`
	UY       float64  `json:"uY"`
	PExact   *float64 `json:"pExact"`
	PGreater *float64 `json:"pExactGreater"` // one-sided: x tends to be larger
	PLess    *float64 `json:"pExactLess"`
	PNormal  *float64 `json:"pNormal"`

	// P is the exact p where it exists, else the tie- and continuity-corrected normal one.
	P *float64 `json:"p"`
	// Shift is the Hodges-Lehmann estimate of x - y in ms with the interval that belongs to P; the level of the exact one
	// is what it truly reaches.
	Shift       Estimate  `json:"shift"`
	ExactShift  *Interval `json:"exactShift"`
	NormalShift *Interval `json:"normalShift"`
}

// MannWhitney compares two groups of whole milliseconds by ranks. Whole milliseconds keep ties tied: seconds summed as
// floating point do not. When all values are equal it returns the counts together with the reason Constant. Source: Mann
// HB, Whitney DR, Ann Math Stat 1947;18:50-60; Hodges JL, Lehmann EL, Ann Math Stat 1963;34:598-611, from memory;
// checked against R 4.2.2 wilcox.test.
func MannWhitney(x, y []int64, level float64) (RankComparison, error) {
	if err := checkLevel(level); err != nil {
		return RankComparison{}, err
	}
	if len(x) == 0 || len(y) == 0 {
		return RankComparison{}, degenerate(TooFew, "A group is empty.")
	}
	nx, ny := float64(len(x)), float64(len(y))
	ranks, tieTerm := midRanks(slices.Concat(x, y))
	c := RankComparison{NX: len(x), NY: len(y)}
	c.UX = sum(ranks[:len(x)]) - nx*(nx+1)/2
	c.UY = nx*ny - c.UX
	pairs := newDifferences(x, y)
	c.Shift = Estimate{Value: pairs.median(), N: len(x) + len(y)}
	if slices.Min(ranks) == slices.Max(ranks) {
		return c, degenerate(Constant, "All values are equal: there is nothing to compare.")
	}
	c.PNormal = pointTo(normalRankP(c.UX-nx*ny/2, rankSD(nx, ny, tieTerm)))
	c.P = c.PNormal
	_, tieX := midRanks(x)
	_, tieY := midRanks(y)
	c.NormalShift = pairs.normalInterval(rankSD(nx, ny, tieX+tieY), level)
	c.Shift.Interval = c.NormalShift
	if tieTerm > 0 {
		c.Shift.Notes = append(c.Shift.Notes, "Some values are tied: the normal approximation is used.")
	} else if len(x) < smallSample && len(y) < smallSample {
		c.exact(pairs, level)
	}
	return c, nil
}

func (c *RankComparison) exact(pairs differences, level float64) {
	cumulative := rankDistribution(c.NX, c.NY)
	u := int(c.UX)
	below, above := cumulative[u], 1.0
	if u > 0 {
		above = cumulative[c.NX*c.NY-u] // P(U >= u) by symmetry
	}
	c.PLess, c.PGreater = pointTo(below), pointTo(above)
	c.PExact = pointTo(min(1, 2*min(below, above)))
	c.P = c.PExact
	q := max(1, quantileOf(cumulative, (1-level)/2))
	c.ExactShift = &Interval{
		Lower: float64(pairs.at(int64(q))),
		Upper: float64(pairs.at(pairs.count - int64(q) + 1)),
		Level: 1 - 2*cumulative[q-1],
	}
	c.Shift.Interval = c.ExactShift
	if c.ExactShift.Level < level {
		c.Shift.Notes = append(c.Shift.Notes, "The groups are so small that no interval reaches the level asked for.")
	}
}

func rankSD(nx, ny, tieTerm float64) float64 {
	n := nx + ny
	return math.Sqrt(nx * ny / 12 * (n + 1 - tieTerm/(n*(n-1))))
}

func normalRankP(deviation, sd float64) float64 {
	return min(1, normalTwoSided(max(0, math.Abs(deviation)-0.5)/sd))
}

// rankDistribution is P(U <= u) for u = 0 .. nx ny without ties, by Mann and Whitney's recursion. All terms are positive,
// so nothing cancels.
func rankDistribution(nx, ny int) []float64 {
	size := nx*ny + 1
	rows := make([][]float64, ny+1) // counts for the present number of x, by number of y
	for j := range rows {
		rows[j] = make([]float64, size)
		rows[j][0] = 1
	}
	for i := 1; i <= nx; i++ {
		for j := 1; j <= ny; j++ {
			// f(i, j, u) = f(i-1, j, u-j) + f(i, j-1, u); rows[j] holds f(i-1, j), rows[j-1] already f(i, j-1).
			row, left := rows[j], rows[j-1]
			for u := i * j; u >= 0; u-- {
				var moved float64
				if u >= j {
					moved = row[u-j]
				}
				row[u] = moved + left[u]
			}
		}
	}
	counts := rows[ny]
	total := sum(counts)
	var running float64
	for u, count := range counts {
		running += count
		counts[u] = running / total
	}
	return counts
}

// quantileOf is the smallest index whose cumulative probability reaches p; a little slack keeps equality from failing by
// rounding, as R does.
func quantileOf(cumulative []float64, p float64) int {
	return slices.IndexFunc(cumulative, func(c float64) bool { return c >= p*(1-1e-14) })
}
