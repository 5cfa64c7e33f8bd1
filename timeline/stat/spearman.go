package stat

import "math"

// RankCorrelation is Spearman's rho with its tests. PExact is nil with ties or from 10 pairs on. P is the exact one where it
// exists. The interval is Fisher's transformation with Bonett and Wright's standard error; nil under 4 pairs or at +-1.
type RankCorrelation struct {
	Rho    Estimate `json:"rho"`
	PT     float64  `json:"pT"`
	PExact *float64 `json:"pExact"`
	P      float64  `json:"p"`
}

// enumerable is the largest number of pairs whose permutations are all tried.
const enumerable = 9

// Spearman is the product-moment correlation of mid-ranks. Source: Spearman 1904, textbook; p from Student's t with n-2
// degrees of freedom; interval: Bonett DG, Wright TA, Psychometrika 2000;65:23-8, from memory. Checked against R 4.2.2
// cor.test (rho and p).
func Spearman(x, y []float64, level float64) (RankCorrelation, error) {
	if err := checkPairs(x, y, level, 3); err != nil {
		return RankCorrelation{}, err
	}
	n := float64(len(x))
	rx, tieX := midRanks(x)
	ry, tieY := midRanks(y)
	var xy, xx, yy, distance float64
	for i := range rx {
		dx, dy, d := rx[i]-(n+1)/2, ry[i]-(n+1)/2, rx[i]-ry[i]
		xy, xx, yy, distance = xy+dx*dy, xx+dx*dx, yy+dy*dy, distance+d*d
	}
	if xx == 0 || yy == 0 {
		return RankCorrelation{}, degenerate(Constant, "One side does not vary: there is no correlation.")
	}
	rho := max(-1, min(1, xy/math.Sqrt(xx*yy)))
	c := RankCorrelation{Rho: Estimate{Value: rho, N: len(x)}}
	c.PT = studentTwoSided(rho*math.Sqrt((n-2)/((1-rho)*(1+rho))), n-2)
	c.P = c.PT
	if tieX == 0 && tieY == 0 && len(x) <= enumerable {
		c.PExact = pointTo(permutationP(len(x), int(distance)))
		c.P = *c.PExact
	}
	if n > 3 && math.Abs(rho) < 1 {
		half := twoSidedZ(level) * math.Sqrt((1+rho*rho/2)/(n-3))
		z := math.Atanh(rho)
		c.Rho.Interval = &Interval{math.Tanh(z - half), math.Tanh(z + half), level}
		c.Rho.SE = pointTo((1 - rho*rho) * math.Sqrt((1+rho*rho/2)/(n-3)))
	}
	return c, nil
}

// permutationP is twice the share of all orders of n ranks whose squared distance is as far out as the one seen.
func permutationP(n, distance int) float64 {
	middle := n * (n*n - 1) / 6 // twice the mean of the smallest and largest distance, halved
	far := min(distance, 2*middle-distance)
	used := make([]bool, n)
	var as, all float64
	var place func(position, soFar int)
	place = func(position, soFar int) {
		if position == n {
			all++
			if soFar <= far {
				as++
			}
			return
		}
		for rank := range n {
			if !used[rank] {
				used[rank] = true
				place(position+1, soFar+(rank-position)*(rank-position))
				used[rank] = false
			}
		}
	}
	place(0, 0)
	return min(1, 2*as/all)
}

func checkPairs(x, y []float64, level float64, least int) error {
	if err := checkLevel(level); err != nil {
		return err
	}
	if len(x) != len(y) {
		return degenerate(Invalid, "The two sides differ in length: %d and %d.", len(x), len(y))
	}
	if len(x) < least {
		return degenerate(TooFew, "There are %d pairs; %d are needed.", len(x), least)
	}
	if err := checkFinite("The first side", x); err != nil {
		return err
	}
	return checkFinite("The second side", y)
}
