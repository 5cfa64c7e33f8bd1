package media

import "encoding/binary"

// maxSamples is a week at 1,000 frames a second, more than any recording has. It also keeps the
// products below from overflowing.
const maxSamples = 7 * 24 * 3600 * 1000

// timing is what the time-to-sample table says about the frames of a track.
type timing struct {
	samples uint64
	ticks   uint64 // sum of the durations of the samples
	delta   uint32 // duration of most samples, in the track's timescale
	varies  bool   // more than one duration, the last sample's aside
}

// readTiming sums the table (ISO/IEC 14496-12, 8.6.1.2). The rate varies when more than one run of
// durations is there besides that of the last sample, whose length recorders often cut or stretch.
func readTiming(payload []byte) (timing, bool) {
	var t timing
	var longest uint32
	rows := entries(payload, 8)
	for i := 0; i+8 <= len(rows); i += 8 {
		count, delta := binary.BigEndian.Uint32(rows[i:]), binary.BigEndian.Uint32(rows[i+4:])
		t.samples += uint64(count)
		t.ticks += uint64(count) * uint64(delta)
		if t.samples > maxSamples || t.ticks > 1<<62 {
			return t, false
		}
		last := i+16 > len(rows)
		if count > longest {
			longest, t.delta = count, delta
		}
		if i > 0 && !(last && count == 1) && delta != binary.BigEndian.Uint32(rows[i-4:]) {
			t.varies = true
		}
	}
	return t, true
}

// rate is the number of frames a second as a reduced fraction: exact for a constant rate, the mean
// for a varying one. It is 0/1 when the table has no time in it.
func (t timing) rate(timescale uint32) (int64, int64) {
	num, den := uint64(timescale), uint64(t.delta)
	if t.varies {
		num, den = t.samples*uint64(timescale), t.ticks
	}
	if den == 0 || num == 0 {
		return 0, 1
	}
	g := gcd(num, den)
	return int64(num / g), int64(den / g)
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
