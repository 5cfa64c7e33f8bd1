package stat

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// direction is the Newton step over all coefficients but the held one (-1: none is held), and the squared length of that
// step in standard errors.
func (s *logisticState) direction(held int) (step []float64, decrement float64) {
	p := len(s.beta)
	step = make([]float64, p)
	if held >= 0 && p == 1 {
		return step, 0
	}
	v := mat.NewVecDense(p, step)
	v.MulVec(s.inverse, mat.NewVecDense(p, s.score))
	if held >= 0 {
		// The free block's inverse follows from the full one: take away what would move the held coefficient.
		share := step[held] / s.inverse.At(held, held)
		for j := range step {
			step[j] -= share * s.inverse.At(j, held)
		}
		step[held] = 0
	}
	return step, floats.Dot(step, s.score)
}

// maximise takes Newton steps from a state, halving those that do not climb, until a step is shorter than the square root
// of tolerance in standard errors. The penalty's own curvature is not in the step, so in small data full steps can swing
// from side to side; how far the last one should have gone sets the next one's length.
func (l *logisticData) maximise(s *logisticState, held int, tolerance float64, most int) (*logisticState, bool) {
	length := 1.0
	for range most {
		step, decrement := s.direction(held)
		if decrement <= tolerance {
			return s, true
		}
		scale := length
		if longest := floats.Norm(step, math.Inf(1)); scale*longest > 5 {
			scale = 5 / longest
		}
		floats.Scale(scale, step)
		next, scale := l.climb(s, step, scale)
		if next == nil {
			return s, decrement <= nearlySettled
		}
		if rounding := 1e-10 * (1 + math.Abs(s.objective)); decrement > rounding {
			length = bestLength(decrement, next.objective-s.objective, scale)
		}
		s = next
	}
	_, decrement := s.direction(held)
	return s, decrement <= nearlySettled
}

// nearlySettled is the squared step in standard errors that is left when rounding ends the search early.
const nearlySettled = 1e-16

// climb takes the step, or a half, a quarter, ... of it, and gives the share taken; nil when none climbs.
func (l *logisticData) climb(s *logisticState, step []float64, scale float64) (*logisticState, float64) {
	for range 40 {
		next, ok := l.at(added(s.beta, step))
		if ok && next.objective >= s.objective-1e-12*(1+math.Abs(s.objective)) {
			return next, scale
		}
		floats.Scale(0.5, step)
		scale /= 2
	}
	return nil, scale
}

// bestLength is the share of the Newton step at which a parabola through what was seen has its top: from slope at the
// start and the gain at the share taken. Near 1, Newton's own length is kept.
func bestLength(slope, gain, share float64) float64 {
	bend := (slope*share - gain) / (share * share)
	if bend <= 0 {
		return 1
	}
	if best := slope / (2 * bend); best < 0.8 {
		return max(best, 0.2)
	}
	return 1
}

func added(a, b []float64) []float64 {
	c := make([]float64, len(a))
	return floats.AddTo(c, a, b)
}
