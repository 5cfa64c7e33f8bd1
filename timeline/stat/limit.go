package stat

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

const (
	// fewestStates and mostStates bound the chain behind a limit, and so its time.
	fewestStates, mostStates = 300, 800
	// statesPerMove is how many states the largest move spans at least, while mostStates allow it.
	statesPerMove = 3
)

// LimitForRunLength finds the limit at which a chart without any change gives a false alarm every target cases on
// average, to a thousandth, and the run length it has there (the run length rises in steps). Moves are those in control.
// With one weight up and one down the run length is exact, else by Markov chain.
func LimitForRunLength(moves []Move, target float64) (limit float64, length RunLength, err error) {
	if !(target > 1) {
		return 0, RunLength{}, degenerate(Invalid, "The run length asked for must be above 1.")
	}
	low, high, lowLog, highLog := 0.0, 1.0, 0.0, 0.0
	for {
		if length, err = RunLengthAt(moves, high, nil); err != nil {
			return 0, RunLength{}, err
		}
		highLog = math.Log(length.Average)
		if length.Average >= target {
			break
		}
		low, lowLog, high = high, highLog, 2*high
		if high > 64 {
			return 0, RunLength{}, degenerate(NoConvergence, "No limit up to 64 gives so long a run length.")
		}
	}
	for tries := 0; high-low > 1e-3*high; tries++ {
		if high < 1e-6 {
			return 0, RunLength{}, degenerate(TooFew, "Events are so rare that even a single one comes less often than the false alarms asked for.")
		}
		at := nextLimit(low, high, lowLog, highLog, math.Log(target), tries)
		found, err := RunLengthAt(moves, at, nil)
		if err != nil {
			return 0, RunLength{}, err
		}
		if found.Average >= target {
			high, highLog, length = at, math.Log(found.Average), found
		} else {
			low, lowLog = at, math.Log(found.Average)
		}
	}
	return high, length, nil
}

// nextLimit is where to look within a bracket. The logarithm of the run length is close to straight in the limit, so most
// looks go just beside where the straight line meets the target, above and below in turn, and every third to the middle.
func nextLimit(low, high, lowLog, highLog, target float64, tries int) float64 {
	if middle := (low + high) / 2; tries%3 == 2 || low == 0 || !(highLog > lowLog) {
		return middle
	}
	at := low + (high-low)*(target-lowLog)/(highLog-lowLog)
	beside := 4e-4 * high
	if tries%3 == 1 {
		beside = -beside
	}
	margin := min(2e-4*high, (high-low)/4)
	return min(high-margin, max(low+margin, at+beside))
}

// RunLengthAt is exact for two moves of opposite sign, else that of a chain fine enough for the largest move.
func RunLengthAt(moves []Move, limit float64, within []int) (RunLength, error) {
	if len(moves) == 2 && moves[0].Weight*moves[1].Weight < 0 {
		return RunLengthExact(Weights{Success: moves[0].Weight, Failure: moves[1].Weight}, moves[1].Probability, limit, within)
	}
	if err := checkMoves(moves, limit); err != nil {
		return RunLength{}, err
	}
	states := min(mostStates, max(fewestStates, int(statesPerMove*limit/highest(moves))))
	return RunLengthByChain(moves, limit, states, within)
}

// EWMARunLength is the average run length of a two-sided EWMA of independent normal values with constant limits at width
// standard deviations of the average, started at the centre, the mean shifted by shift standard deviations. Source:
// Crowder SV, Technometrics 1987;29:401-7 (integral equation), from memory; solved on Gauss-Legendre nodes; checked
// against R package spc 0.6.7.
func EWMARunLength(lambda, width, shift float64) (float64, error) {
	if !(lambda > 0 && lambda <= 1) || !(width > 0) || math.IsNaN(shift) || math.IsInf(shift, 0) {
		return 0, degenerate(Invalid, "Needed: 0 < lambda <= 1 and a width above 0.")
	}
	const nodes = 80
	half := width * math.Sqrt(lambda/(2-lambda))
	z, weight := make([]float64, nodes), make([]float64, nodes)
	quad.Legendre{}.FixedLocations(z, weight, -half, half)
	density := func(to, from float64) float64 {
		d := (to-(1-lambda)*from)/lambda - shift
		return math.Exp(-d*d/2) / (lambda * math.Sqrt(2*math.Pi))
	}
	system := mat.NewDense(nodes, nodes, nil)
	ones := mat.NewVecDense(nodes, nil)
	for i := range nodes {
		ones.SetVec(i, 1)
		for j := range nodes {
			system.Set(i, j, -weight[j]*density(z[j], z[i]))
		}
		system.Set(i, i, 1+system.At(i, i))
	}
	var lengths mat.VecDense
	if err := lengths.SolveVec(system, ones); err != nil {
		return 0, degenerate(NoConvergence, "The chart signals so rarely that its run length cannot be computed.")
	}
	average := 1.0
	for j := range nodes {
		average += weight[j] * density(z[j], 0) * lengths.AtVec(j)
	}
	return average, nil
}
