package timeline

import "math/bits"

// FrameRate is a rational number of frames per second: 30000/1001 is not 29.97. The zero value is an unknown rate,
// for which every method gives 0.
type FrameRate struct {
	Num int64 `json:"num"`
	Den int64 `json:"den"`
}

// Known reports whether the rate is one.
func (r FrameRate) Known() bool { return r.Num > 0 && r.Den > 0 }

// FrameAt is the number of the frame, from 0, that is on the screen at a media time in ms. Source: arithmetic.
func (r FrameRate) FrameAt(ms int64) int64 {
	if !r.Known() || ms <= 0 {
		return 0
	}
	return scale(ms, r.Num, 1000*r.Den, 0)
}

// Start is the first whole media millisecond at which frame n is on the screen: n * Den/Num seconds, rounded up, so
// that FrameAt(Start(n)) is n. Source: arithmetic.
func (r FrameRate) Start(n int64) int64 {
	if !r.Known() || n <= 0 {
		return 0
	}
	return scale(n, 1000*r.Den, r.Num, r.Num-1)
}

// Middle is the media millisecond nearest to the middle of frame n; stepping goes there, so that rounding by a
// player cannot land on a neighbour. Source: arithmetic.
func (r FrameRate) Middle(n int64) int64 {
	if !r.Known() || n < 0 {
		return 0
	}
	return scale(2*n+1, 1000*r.Den, 2*r.Num, r.Num)
}

// Seconds is the exact start of frame n in seconds, to double precision.
func (r FrameRate) Seconds(n int64) float64 {
	if !r.Known() {
		return 0
	}
	return float64(n) * float64(r.Den) / float64(r.Num)
}

// MiddleSeconds is the exact middle of frame n in seconds, to double precision.
func (r FrameRate) MiddleSeconds(n int64) float64 {
	if !r.Known() {
		return 0
	}
	return (float64(n) + 0.5) * float64(r.Den) / float64(r.Num)
}

// Count is the number of frames in a duration in ms, to the nearest whole one because files give their duration
// rounded. Source: arithmetic; 600 s at 30000/1001 is 17 982 frames.
func (r FrameRate) Count(duration int64) int64 {
	if !r.Known() || duration <= 0 {
		return 0
	}
	return scale(duration, r.Num, 1000*r.Den, 500*r.Den)
}

// scale is (a*b + add) / c, rounded down, exact in 128 bits for values that are not negative. A quotient beyond 64
// bits cannot come from a recording and gives the largest number.
func scale(a, b, c, add int64) int64 {
	high, low := bits.Mul64(uint64(a), uint64(b))
	low, carry := bits.Add64(low, uint64(add), 0)
	high += carry
	if high >= uint64(c) {
		return 1<<63 - 1
	}
	quotient, _ := bits.Div64(high, low, uint64(c))
	return int64(min(quotient, 1<<63-1))
}
