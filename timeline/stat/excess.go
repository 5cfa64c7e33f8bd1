package stat

import "math"

// Excess is the cumulative number of complications above expectation: Path[t] = sum of (seen - expected) up to case t, and
// SD[t] its standard deviation if the expected risks hold.
type Excess struct {
	Path []float64 `json:"path"`
	SD   []float64 `json:"sd"`
	N    int       `json:"n"`
}

// ObservedMinusExpected adds up seen minus expected. It shows how many, not whether: it has no limit of its own. Source:
// Lovegrove J and others, Lancet 1997;350:1128-30 (the mirrored, "lives saved" form), from memory.
func ObservedMinusExpected(risks []float64, failed []bool) (Excess, error) {
	if len(risks) != len(failed) {
		return Excess{}, degenerate(Invalid, "Risks and outcomes differ in length.")
	}
	e := Excess{Path: make([]float64, len(risks)), SD: make([]float64, len(risks)), N: len(risks)}
	var total, variance float64
	for t, p := range risks {
		if !(p >= 0 && p <= 1) {
			return Excess{}, degenerate(Invalid, "The expected risk of case %d does not lie between 0 and 1.", t+1)
		}
		total -= p
		if failed[t] {
			total++
		}
		variance += p * (1 - p)
		e.Path[t], e.SD[t] = total, math.Sqrt(variance)
	}
	return e, nil
}

// Smoothed is an exponentially weighted moving average with its control limits; Signals are the cases (from 0) outside.
type Smoothed struct {
	Path    []float64 `json:"path"`
	Lower   []float64 `json:"lower"`
	Upper   []float64 `json:"upper"`
	Signals []int     `json:"signals"`
	N       int       `json:"n"`
}

// EWMA smooths x with weight lambda on the newest value, starting at the centre; limits are centre ± width standard
// deviations of the average, which widen over the first cases. For proportions sd = sqrt(p0 (1-p0)). Source: Roberts SW,
// Technometrics 1959;1:239-50, from memory.
func EWMA(x []float64, lambda, centre, sd, width float64) (Smoothed, error) {
	if !(lambda > 0 && lambda <= 1) || !(sd > 0) || !(width > 0) {
		return Smoothed{}, degenerate(Invalid, "Needed: 0 < lambda <= 1, and a standard deviation and a width above 0.")
	}
	if err := checkFinite("The series", x); err != nil {
		return Smoothed{}, err
	}
	n := len(x)
	s := Smoothed{Path: make([]float64, n), Lower: make([]float64, n), Upper: make([]float64, n), Signals: []int{}, N: n}
	z := centre
	for t, v := range x {
		z = lambda*v + (1-lambda)*z
		half := width * sd * math.Sqrt(lambda/(2-lambda)*-math.Expm1(2*float64(t+1)*math.Log1p(-lambda)))
		s.Path[t], s.Lower[t], s.Upper[t] = z, centre-half, centre+half
		if math.Abs(z-centre) > half {
			s.Signals = append(s.Signals, t)
		}
	}
	return s, nil
}
