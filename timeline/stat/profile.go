package stat

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

const (
	// innerTolerance stops a fit with one coefficient held while a bound is searched: the likelihood is then right to about
	// as much. nullTolerance stops that of the p value, which takes what the last step would still have climbed.
	innerTolerance = 1e-11
	nullTolerance  = 1e-8
	// farthest is where the search for a bound ends, in standard errors.
	farthest = 1e4
)

// profile gives the interval of coefficient j in which twice the drop of the (penalised) likelihood, maximised over the
// others, stays within the chi-squared quantile, and the p value of 0.
func (l *logisticData) profile(top *logisticState, j int, level float64) ProfileInterval {
	interval := ProfileInterval{Level: level}
	z := twoSidedZ(level)
	var lowerOK, upperOK bool
	lower, upper := top, top
	interval.Lower, lower, lowerOK = l.bound(top, j, -1, z)
	interval.Upper, upper, upperOK = l.bound(top, j, 1, z)
	// From the nearest of the places known the way to 0 is the shortest.
	from := top
	for _, s := range []*logisticState{lower, upper} {
		if math.Abs(s.beta[j]) < math.Abs(from.beta[j]) {
			from = s
		}
	}
	atZero, zeroOK := l.held(from, j, 0, nullTolerance)
	if zeroOK {
		_, left := atZero.direction(j)
		root := math.Sqrt(max(0, 2*(top.objective-atZero.objective)-left))
		interval.P, interval.Z = pointTo(normalTwoSided(root)), &root
	}
	if !lowerOK || !upperOK || !zeroOK {
		interval.Notes = append(interval.Notes, "The search along this coefficient did not settle: what is missing is not known.")
	}
	return interval
}

// bound finds where the root of twice the drop reaches z on one side, at once where the likelihood is nearly a parabola,
// else step by step, and the last state of the way. The bound is nil where the root never reaches z; settled is false when
// that is not known.
func (l *logisticData) bound(top *logisticState, j int, side, z float64) (at *float64, last *logisticState, settled bool) {
	if value, last, ok := l.straight(top, j, side, z); ok {
		return &value, last, true
	}
	return l.search(top, j, side, z)
}

// A straight search has to shrink its steps to this share each time, and may be this far from the bound, in standard errors,
// when it ends.
const straightShare, straightEnd = 0.5, 1e-9

// straight solves at once for the point where the likelihood has dropped by z^2/2 and the score of the other coefficients is
// 0, by Newton steps; ok is false where they do not shrink quickly. Source: Venzon DJ, Moolgavkar SH, Appl Stat
// 1988;37:87-94, from memory.
func (l *logisticData) straight(top *logisticState, j int, side, z float64) (bound float64, last *logisticState, ok bool) {
	s, before := top, math.Inf(1)
	for range 12 {
		step, length, ok := s.toward(j, side, top.objective-z*z/2)
		if !ok || length > straightShare*before {
			return 0, nil, false
		}
		if before < math.Inf(1) && length*length/before < straightEnd {
			return (s.beta[j] + step[j]) / l.scale[j], s, true
		}
		next, ok := l.at(added(s.beta, step))
		if !ok {
			return 0, nil, false
		}
		s, before = next, length
	}
	return 0, nil, false
}

// toward is the step on the parabola through a state to where it has the wanted height and is at its highest but for
// coefficient j, and its length in standard errors; ok is false where the parabola is never so high.
func (s *logisticState) toward(j int, side, height float64) (step []float64, length float64, ok bool) {
	p := len(s.beta)
	step = make([]float64, p)
	v := mat.NewVecDense(p, step)
	v.MulVec(s.inverse, mat.NewVecDense(p, s.score))
	above := 2*(s.objective-height) + floats.Dot(step, s.score)
	if !(above >= 0) {
		return nil, 0, false
	}
	push := side * math.Sqrt(above/s.inverse.At(j, j))
	for k := range step {
		step[k] += push * s.inverse.At(k, j)
	}
	return step, math.Sqrt(mat.Inner(v, s.info, v)), true
}

// rootDrop is the square root of twice the drop of the likelihood: nearly straight in the coefficient.
func rootDrop(top, s *logisticState) float64 {
	return math.Sqrt(max(0, 2*(top.objective-s.objective)))
}

// held maximises over the other coefficients with j held at value, starting along the ridge from a state.
func (l *logisticData) held(from *logisticState, j int, value, tolerance float64) (*logisticState, bool) {
	shift := value - from.beta[j]
	for range 60 {
		beta := append([]float64(nil), from.beta...)
		for k := range beta {
			beta[k] += shift * from.inverse.At(k, j) / from.inverse.At(j, j)
		}
		beta[j] = from.beta[j] + shift
		if s, ok := l.at(beta); ok {
			s, settled := l.maximise(s, j, tolerance, 300)
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

// search finds a bound by Newton steps within a bracket, the others maximised at each. The slope of the profile is the score
// of the held coefficient.
func (l *logisticData) search(top *logisticState, j int, side, z float64) (at *float64, last *logisticState, settled bool) {
	se := math.Sqrt(top.inverse.At(j, j))
	centre := top.beta[j]
	near, far := 0.0, math.Inf(1) // distances from the centre
	distance, from := z*se, top
	for range 100 {
		s, ok := l.held(from, j, centre+side*distance, innerTolerance)
		if !ok {
			return nil, from, false
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
				return pointTo((centre + side*(distance+step)) / l.scale[j]), s, true
			}
			next = min(distance+step, near+3*max(near, se))
		}
		if !(next > near && next < far) {
			next = (near + far) / 2
		}
		if next > farthest*se {
			return nil, from, true
		}
		distance = next
	}
	return nil, from, false
}
