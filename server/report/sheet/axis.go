package sheet

import (
	"math"
	"strconv"
	"strings"
)

// axis takes values to a length from 0 to 1 between round ends.
type axis struct {
	low, high float64 // as drawn: of a logarithmic axis the logarithms
	log       bool
	ticks     []float64 // values
	decimals  int
}

// linearAxis lays a round axis about the values from low to high, with at most so many steps.
func linearAxis(low, high float64, steps int) axis {
	if !(high > low) {
		low, high = low-0.5, high+0.5
	}
	step := roundStep((high - low) / float64(steps))
	a := axis{low: math.Floor(low/step+1e-9) * step, high: math.Ceil(high/step-1e-9) * step}
	a.decimals = max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	for i := 0; ; i++ {
		at := a.low + float64(i)*step
		if at > a.high+step/1e6 {
			return a
		}
		if math.Abs(at) < step/1e6 {
			at = 0
		}
		a.ticks = append(a.ticks, at)
	}
}

// roundStep is the smallest of 1, 2 and 5 times a power of ten that is no smaller than the step.
func roundStep(step float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(step)))
	for _, by := range []float64{1, 2, 5} {
		if by*power >= step*(1-1e-9) {
			return by * power
		}
	}
	return 10 * power
}

// logAxis lays an axis about positive values on which equal ratios are equal lengths; its ticks are 1, 2 and 5 times powers of
// ten, or the powers alone when they are many.
func logAxis(low, high float64, steps int) axis {
	if !(high > low) {
		low, high = low/1.2, high*1.2
	}
	a := axis{low: math.Log(low), high: math.Log(high), log: true}
	for _, within := range [][]float64{{1, 1.2, 1.5, 2, 3, 5, 7}, {1, 2, 5}, {1}} {
		a.ticks = a.ticks[:0]
		for power := math.Floor(math.Log10(low)); power <= math.Log10(high); power++ {
			for _, by := range within {
				if at := by * math.Pow(10, power); at >= low*(1-1e-9) && at <= high*(1+1e-9) {
					a.ticks = append(a.ticks, at)
				}
			}
		}
		if len(a.ticks) <= steps+1 {
			break
		}
	}
	return a
}

// at is where a value lies; beyond the ends it is under 0 or over 1.
func (a axis) at(value float64) float64 {
	if a.log {
		if value <= 0 {
			return math.Inf(-1)
		}
		value = math.Log(value)
	}
	return (value - a.low) / (a.high - a.low)
}

// within is at, held between the ends.
func (a axis) within(value float64) float64 { return min(max(a.at(value), 0), 1) }

// write writes a tick.
func (a axis) write(tick float64) string {
	text := strconv.FormatFloat(tick, 'f', a.decimals, 64)
	if a.log {
		text = strconv.FormatFloat(tick, 'g', 3, 64)
	}
	return strings.Replace(text, "-", "−", 1)
}
