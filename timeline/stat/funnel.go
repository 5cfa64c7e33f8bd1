package stat

import "math"

// FunnelLimits are the exact limits of one group size as proportions, cut to [0, 1]. RawLower is before the cut: below 0
// it says that no count can lie under the limit.
type FunnelLimits struct {
	Lower95     float64 `json:"lower95"`
	Upper95     float64 `json:"upper95"`
	Lower998    float64 `json:"lower998"`
	Upper998    float64 `json:"upper998"`
	RawLower95  float64 `json:"-"`
	RawLower998 float64 `json:"-"`
}

// FunnelUnit is one operator or unit in the funnel. Z is its distance from the target in standard deviations.
type FunnelUnit struct {
	FunnelLimits
	N          int     `json:"n"`
	Events     int     `json:"events"`
	Z          float64 `json:"z"`
	Outside95  bool    `json:"outside95"`
	Outside998 bool    `json:"outside998"`
}

// FunnelResult is never a ranking: a unit is inside or outside. Dispersion near 1 says that chance explains the spread;
// with a small P the units differ by more than chance, and limits without allowance for it accuse too many.
type FunnelResult struct {
	Target     float64      `json:"target"`
	Units      []FunnelUnit `json:"units"`
	Dispersion float64      `json:"dispersion"`
	P          float64      `json:"pDispersion"`
	Notes      []string     `json:"notes,omitempty"`
}

// Funnel places events of n cases per unit against a target given from outside. Source: Spiegelhalter DJ, Stat Med
// 2005;24:1185-202, formula from memory; checked against R 4.2.2 qbinom and pbinom, and check values 56 to 59.
func Funnel(events, n []int, target float64) (FunnelResult, error) {
	if len(events) != len(n) || len(n) == 0 {
		return FunnelResult{}, degenerate(TooFew, "A funnel needs events and cases of at least one unit.")
	}
	r := FunnelResult{Target: target, Units: make([]FunnelUnit, len(n))}
	var squares float64
	small := false
	for i := range n {
		if events[i] < 0 || events[i] > n[i] {
			return FunnelResult{}, degenerate(Invalid, "Unit %d has an impossible count: %d of %d.", i+1, events[i], n[i])
		}
		limits, err := FunnelAt(n[i], target)
		if err != nil {
			return FunnelResult{}, err
		}
		size, rate := float64(n[i]), float64(events[i])/float64(n[i])
		u := FunnelUnit{FunnelLimits: limits, N: n[i], Events: events[i]}
		u.Z = (rate - target) / math.Sqrt(target*(1-target)/size)
		u.Outside95 = rate > limits.Upper95 || rate < limits.Lower95
		u.Outside998 = rate > limits.Upper998 || rate < limits.Lower998
		squares += u.Z * u.Z
		small = small || size*target < 1
		r.Units[i] = u
	}
	spread := overdispersion(squares, len(n))
	r.Dispersion, r.P = spread.Statistic, spread.P
	if small {
		r.Notes = append(r.Notes, "Some units expect less than one event: their limits and the over-dispersion check are coarse.")
	}
	return r, nil
}

// Overdispersion tests whether distances from the target, in standard deviations, spread more than chance: the statistic is
// their mean square, near 1 under chance alone. Source: Spiegelhalter DJ, Stat Med 2005;24:1185-202, from memory.
func Overdispersion(z []float64) (Test, error) {
	if len(z) == 0 {
		return Test{}, degenerate(TooFew, "There is nothing whose spread could be judged.")
	}
	if err := checkFinite("The distances", z); err != nil {
		return Test{}, err
	}
	var squares float64
	for _, v := range z {
		squares += v * v
	}
	return overdispersion(squares, len(z)), nil
}

func overdispersion(squares float64, n int) Test {
	return Test{Statistic: squares / float64(n), DF: float64(n), P: chiSquaredUpper(squares, float64(n)), N: n}
}

// FunnelAt gives the limits for n cases at the target rate: two-sided 95 % and 99.8 %.
func FunnelAt(n int, target float64) (FunnelLimits, error) {
	if n < 1 {
		return FunnelLimits{}, degenerate(TooFew, "A unit without cases has no limits.")
	}
	if !(target > 0 && target < 1) {
		return FunnelLimits{}, degenerate(Invalid, "The target must lie between 0 and 1, not %g.", target)
	}
	b := newBinomial(n, target)
	l := FunnelLimits{RawLower95: b.limit(0.025), RawLower998: b.limit(0.001), Upper95: b.limit(0.975), Upper998: b.limit(0.999)}
	cut := func(x float64) float64 { return min(1, max(0, x)) }
	l.Lower95, l.Lower998, l.Upper95, l.Upper998 = cut(l.RawLower95), cut(l.RawLower998), cut(l.Upper95), cut(l.Upper998)
	return l, nil
}

// binomial holds the probabilities of first, first+1, ... events; what lies outside is below 1e-40 of the largest.
type binomial struct {
	n     float64
	first int
	p     []float64
}

// newBinomial builds the probabilities from the mode outwards by their ratio: no factorial loses digits.
func newBinomial(n int, target float64) binomial {
	mode := min(n, int(float64(n+1)*target))
	odds := target / (1 - target)
	var below, above []float64
	for k, v := mode, 1.0; k > 0; k-- {
		v *= float64(k) / (float64(n-k+1) * odds)
		if v < 1e-40 {
			break
		}
		below = append(below, v)
	}
	for k, v := mode, 1.0; k < n; k++ {
		v *= float64(n-k) * odds / float64(k+1)
		if v < 1e-40 {
			break
		}
		above = append(above, v)
	}
	p := make([]float64, 0, len(below)+1+len(above))
	for i := len(below) - 1; i >= 0; i-- {
		p = append(p, below[i])
	}
	p = append(append(p, 1), above...)
	total := sum(p)
	for i := range p {
		p[i] /= total
	}
	return binomial{float64(n), mode - len(below), p}
}

// limit is (r - alpha)/n, r the smallest count with P(R <= r) >= p and alpha the part of its probability beyond p.
func (b binomial) limit(p float64) float64 {
	var cumulative float64
	if p > 0.5 {
		// Summed from the top, the upper tail keeps its digits.
		rest, tail := 0.0, 1-p
		for i := len(b.p) - 1; i >= 0; i-- {
			if rest+b.p[i] > tail {
				return (float64(b.first+i) - (tail-rest)/b.p[i]) / b.n
			}
			rest += b.p[i]
		}
	}
	for i, v := range b.p {
		if cumulative+v >= p {
			return (float64(b.first+i) - (cumulative+v-p)/v) / b.n
		}
		cumulative += v
	}
	return 1
}
