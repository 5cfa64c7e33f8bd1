package demo

import (
	"encoding/binary"
	"encoding/hex"
	"math"
	"math/rand/v2"
)

// random draws for one case or one purpose. Each case has its own, so that a change to how one goes leaves the
// others as they were.
type random struct{ *rand.Rand }

func newRandom(seed, stream uint64) random {
	return random{rand.New(rand.NewPCG(seed, stream))}
}

func (r random) normal(mean, deviation float64) float64 { return mean + deviation*r.NormFloat64() }

func (r random) chance(p float64) bool { return r.Float64() < p }

// between draws a whole number from low to high, both included.
func (r random) between(low, high int) int { return low + r.IntN(high-low+1) }

// weighted draws an index with probability in proportion to its weight.
func (r random) weighted(weights []float64) int {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	at := r.Float64() * total
	for i, w := range weights {
		if at -= w; at < 0 {
			return i
		}
	}
	return len(weights) - 1
}

// id makes a UUID of version 7 (RFC 9562) for an instant in Unix ms.
func (r random) id(at int64) string {
	var b [16]byte
	binary.BigEndian.PutUint64(b[0:], uint64(at)<<16|r.Uint64()&0x0fff)
	binary.BigEndian.PutUint64(b[8:], r.Uint64())
	b[6] = b[6]&0x0f | 0x70
	b[8] = b[8]&0x3f | 0x80
	text := hex.EncodeToString(b[:])
	return text[:8] + "-" + text[8:12] + "-" + text[12:16] + "-" + text[16:20] + "-" + text[20:]
}

// fingerprint stands for the content of a recording that was never made.
func (r random) fingerprint() string {
	var b [32]byte
	for i := 0; i < len(b); i += 8 {
		binary.BigEndian.PutUint64(b[i:], r.Uint64())
	}
	return hex.EncodeToString(b[:])
}

func rounded(x float64, digits int) float64 {
	scale := math.Pow10(digits)
	return math.Round(x*scale) / scale
}

func pointer[T any](value T) *T { return &value }
