package stat

import "math"

const (
	// innerTolerance stops a fit with one coefficient held: the likelihood is then right to about as much.
	innerTolerance = 1e-11
	// farthest is where the search for a bound ends, in standard errors.
	farthest = 1e4
)

// profile gives the interval of coefficient j in which twice the drop of the (penalised) likelihood, maximised over the
// others, stays within the chi-squared quantile, and the p value of 0.
func (l *logisticData) profile(top *logisticState, j int, level float64) ProfileInterval {
	interval := ProfileInterval{Level: level}
	z := twoSidedZ(level)
	var lowerOK, upperOK bool
	interval.Lower, lowerOK = l.bound(top, j, -1, z)
	interval.Upper, upperOK = l.bound(top, j, 1, z)
	atZero, zeroOK := l.held(top, j, 0)
	if zeroOK {
		interval.P = pointTo(normalTwoSided(rootDrop(top, atZero)))
	}
	if !lowerOK || !upperOK || !zeroOK {
		interval.Notes = append(interval.Notes, "The search along this coefficient did not settle: what is missing is not known.")
	}
	return interval
}

// rootDrop is the square root of twice the drop of the likelihood: nearly straight in the coefficient.
func rootDrop(top, s *logisticState) float64 {
	return math.Sqrt(max(0, 2*(top.objective-s.objective)))
}

// held maximises over the other coefficients with j held at value, starting along the ridge from a state.
func (l *logisticData) held(from *logisticState, j int, value float64) (*logisticState, bool) {
	shift := value - from.beta[j]
	for range 60 {
		beta := append([]float64(nil), from.beta...)
		for k := range beta {
			beta[k] += shift * from.inverse.At(k, j) / from.inverse.At(j, j)
		}
		beta[j] = from.beta[j] + shift
		if s, ok := l.at(beta); ok {
			s, settled := l.maximise(s, j, innerTolerance, 300)
			if s.beta[j] == value || !settled {
				return s, settled
			}
			from, shift = s, value-s.beta[j]
			continue
		}
		shift /= 2 // so far out that the information vanishes: go in smaller steps
	}
	return from, false
}

// bound finds where the root of the drop reaches z on one side, by Newton steps within a bracket. The slope of the profile
// is the score of the held coefficient. The bound is nil where the root never reaches z; settled is false when that is not
// known.
func (l *logisticData) bound(top *logisticState, j int, side, z float64) (at *float64, settled bool) {
	se := math.Sqrt(top.inverse.At(j, j))
	centre := top.beta[j]
	near, far := 0.0, math.Inf(1) // distances from the centre
	distance, from := z*se, top
	for range 100 {
		s, ok := l.held(from, j, centre+side*distance)
		if !ok {
			return nil, false
		}
		from = s
		root := rootDrop(top, s)
		if root < z {
			near = distance
		} else {
			far = distance
		}
		next := distance + z*se
		if slope := -side * s.score[j] / root; slope > 0 {
			step := (z - root) / slope
			if math.Abs(step) < 1e-6*se { // the step itself is taken too, and leaves about its square
				return pointTo((centre + side*(distance+step)) / l.scale[j]), true
			}
			next = min(distance+step, near+3*max(near, se))
		}
		if !(next > near && next < far) {
			next = (near + far) / 2
		}
		if next > farthest*se {
			return nil, true
		}
		distance = next
	}
	return nil, false
}
