package stat

import "math"

// maxCycle bounds the length of one cycle of the exact computation, and so its time.
const maxCycle = 1_000_000

// RunLengthExact is the run length of a chart with one weight up and one down, without any grid: within a cycle from 0 the
// statistic depends only on how many of its cases went up, so the cycles from 0 back to 0 or to a signal can be counted.
// Exact up to rounding. Source: renewal argument, our own derivation; checked against an implementation outside this
// program and its simulation.
func RunLengthExact(w Weights, failureRate, limit float64, within []int) (RunLength, error) {
	if err := checkMoves(ConstantMoves(w, failureRate), limit); err != nil {
		return RunLength{}, err
	}
	up, down, chance := w.Failure, -w.Success, failureRate
	if w.Success > 0 {
		up, down, chance = w.Success, -w.Failure, 1-failureRate
	}
	if !(down > 0) {
		return RunLength{}, degenerate(Invalid, "The exact run length needs one weight above 0 and one below.")
	}
	signal, back, settled := cycles(up, down, chance, limit)
	r := RunLength{Within: firstSignal(signal, back, within)}
	var cases, hits float64
	for t := range signal {
		cases += float64(t+1) * (signal[t] + back[t])
		hits += signal[t]
	}
	if !(hits > 0) {
		return RunLength{}, degenerate(NoConvergence, "The chart signals so rarely that its run length cannot be computed.")
	}
	r.Average = cases / hits
	if !settled {
		r.Notes = append(r.Notes, "The computation was stopped at the longest cycle allowed; the run length is a lower bound.")
	}
	return r, nil
}

// cycles gives the chance that a cycle ends with a signal, or back at 0, after t+1 cases.
func cycles(up, down, chance, limit float64) (signal, back []float64, settled bool) {
	alive := map[int]float64{0: 1} // by number of moves up
	low, high := 0, 0
	for t := 1; t <= maxCycle; t++ {
		next := make(map[int]float64, len(alive)+1)
		var toSignal, toZero, left float64
		nextLow, nextHigh := math.MaxInt, -1
		for k := low; k <= high+1; k++ {
			p := alive[k]*(1-chance) + alive[k-1]*chance
			if p == 0 {
				continue
			}
			switch value := float64(k)*up - float64(t-k)*down; {
			case value >= limit:
				toSignal += p
			case value <= 0:
				toZero += p
			default:
				next[k] = p
				left += p
				nextLow, nextHigh = min(nextLow, k), max(nextHigh, k)
			}
		}
		signal, back = append(signal, toSignal), append(back, toZero)
		if left < 1e-22 {
			return signal, back, true
		}
		alive, low, high = next, nextLow, nextHigh
	}
	return signal, back, false
}

// firstSignal is the chance of a signal within each number of cases, cycle after cycle.
func firstSignal(signal, back []float64, cases []int) []float64 {
	most := 0
	for _, n := range cases {
		most = max(most, n)
	}
	first := make([]float64, most+1) // at exactly t cases
	cumulative := make([]float64, most+1)
	for t := 1; t <= most; t++ {
		if t <= len(signal) {
			first[t] = signal[t-1]
		}
		for length := 1; length < t && length <= len(back); length++ {
			first[t] += back[length-1] * first[t-length]
		}
		cumulative[t] = cumulative[t-1] + first[t]
	}
	answer := make([]float64, len(cases))
	for i, n := range cases {
		answer[i] = cumulative[max(0, n)]
	}
	return answer
}
