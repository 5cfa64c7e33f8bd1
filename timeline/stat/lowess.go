package stat

import (
	"cmp"
	"math"
	"slices"

	"zonule/timeline"
)

// Smooth is a smoothed scatter in order of X. It is for the eye: it has no test and no interval.
type Smooth struct {
	X      []float64 `json:"x"`
	Fitted []float64 `json:"fitted"`
	N      int       `json:"n"`
}

// LOWESS fits a straight line at every x to its nearest share of the points, weighted by the tricube of distance, then
// passes times again with less weight for points far off the curve. Time grows with n^2 share. Source: Cleveland WS, J Am
// Stat Assoc 1979;74:829-36, from memory; checked against statsmodels 0.13.5 (delta = 0).
func LOWESS(x, y []float64, share float64, passes int) (Smooth, error) {
	if err := checkPairs(x, y, 0.95, 2); err != nil {
		return Smooth{}, err
	}
	neighbours := int(share*float64(len(x)) + 1e-10)
	if neighbours < 2 || neighbours > len(x) || passes < 0 {
		return Smooth{}, degenerate(Invalid, "The share must leave between two points and all of them in the window.")
	}
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	s := Smooth{X: make([]float64, len(x)), Fitted: make([]float64, len(x)), N: len(x)}
	heights, robustness := make([]float64, len(x)), make([]float64, len(x))
	for i, at := range order {
		s.X[i], heights[i], robustness[i] = x[at], y[at], 1
	}
	for pass := 0; ; pass++ {
		smoothOnce(s, heights, robustness, neighbours)
		if pass == passes || !reweigh(robustness, s.Fitted, heights) {
			return s, nil
		}
	}
}

func smoothOnce(s Smooth, heights, robustness []float64, neighbours int) {
	left, right := 0, neighbours
	for i, x := range s.X {
		for right < len(s.X) && x > (s.X[left]+s.X[right])/2 {
			left, right = left+1, right+1
		}
		radius := max(x-s.X[left], s.X[right-1]-x)
		s.Fitted[i] = localLine(s.X[left:right], heights[left:right], robustness[left:right], x, radius, heights[i])
	}
}

// localLine is the height at x of the weighted line; where no point has weight, the height of the point itself.
func localLine(xs, ys, robustness []float64, x, radius, own float64) float64 {
	weights := make([]float64, len(xs))
	var total, meanX float64
	for i, at := range xs {
		distance := math.Abs(at - x)
		switch {
		case distance <= 0.001*radius:
			weights[i] = robustness[i]
		case distance <= 0.999*radius:
			u := distance / radius
			tricube := 1 - u*u*u
			weights[i] = robustness[i] * tricube * tricube * tricube
		}
		total += weights[i]
		meanX += weights[i] * at
	}
	if total <= 0 {
		return own
	}
	meanX /= total
	var spread float64
	for i, at := range xs {
		spread += weights[i] / total * (at - meanX) * (at - meanX)
	}
	var height float64
	sloped := math.Sqrt(spread) > 0.001*(radius+math.SmallestNonzeroFloat64)
	for i, at := range xs {
		w := weights[i] / total
		if sloped {
			w *= 1 + (x-meanX)*(at-meanX)/spread
		}
		height += w * ys[i]
	}
	return height
}

// reweigh gives each point its bisquare weight by residual; false when the curve already passes through half the points,
// up to rounding.
func reweigh(robustness, fitted, heights []float64) bool {
	residuals := make([]float64, len(fitted))
	for i := range fitted {
		residuals[i] = math.Abs(heights[i] - fitted[i])
	}
	scale := 6 * timeline.Quantile(slices.Sorted(slices.Values(residuals)), 0.5)
	if scale <= 1e-12*(slices.Max(heights)-slices.Min(heights)) {
		return false
	}
	for i, r := range residuals {
		u := r / scale
		switch {
		case u >= 0.999:
			robustness[i] = 0
		case u <= 0.001:
			robustness[i] = 1
		default:
			robustness[i] = (1 - u*u) * (1 - u*u)
		}
	}
	return true
}
