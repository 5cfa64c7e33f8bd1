package stat

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// RunLength says what a limit means: the average number of cases up to and including a signal, and the chance of a
// signal within each number of cases asked for.
type RunLength struct {
	Average float64   `json:"average"`
	Within  []float64 `json:"within"`
	Notes   []string  `json:"notes,omitempty"`
}

// Move is one thing that a case can do to a chart: its weight and the chance of it.
type Move struct {
	Weight      float64
	Probability float64
}

// ConstantMoves are the moves of a chart with one weight for success and one for failure at the true failure rate.
func ConstantMoves(w Weights, failureRate float64) []Move {
	return []Move{{w.Success, 1 - failureRate}, {w.Failure, failureRate}}
}

// MixedMoves are the moves of a risk-adjusted chart over a mix of risks with the given shares, when the true odds of
// failure are oddsRatio times the expected ones.
func MixedMoves(risks, shares []float64, null, alternative, oddsRatio float64) ([]Move, error) {
	if len(risks) != len(shares) || len(risks) == 0 {
		return nil, degenerate(Invalid, "Each risk needs its share of the cases.")
	}
	if !(oddsRatio > 0) || math.IsInf(oddsRatio, 1) {
		return nil, degenerate(Invalid, "The true odds ratio must be above 0.")
	}
	total := sum(shares)
	moves := make([]Move, 0, 2*len(risks))
	for i, p := range risks {
		w, err := RiskAdjustedWeights(p, null, alternative)
		if err != nil {
			return nil, err
		}
		if !(shares[i] >= 0) || !(total > 0) {
			return nil, degenerate(Invalid, "The shares must not be negative and must not all be 0.")
		}
		failure := oddsRatio * p / (1 - p + oddsRatio*p)
		share := shares[i] / total
		moves = append(moves, Move{w.Success, share * (1 - failure)}, Move{w.Failure, share * failure})
	}
	return moves, nil
}

// RunLengthByChain computes the run length with a Markov chain over equal steps of the range below the limit. Each move
// is split over the two states around its end, which keeps its mean: rounding to the nearest state is wrong several times
// over for rare failures. Cost grows with states cubed. Source: Brook D, Evans DA, Biometrika 1972;59:539-49, from memory,
// with that split; checked against an implementation outside this program and its simulation.
func RunLengthByChain(moves []Move, limit float64, states int, within []int) (RunLength, error) {
	if err := checkMoves(moves, limit); err != nil {
		return RunLength{}, err
	}
	if states < 2 || states > maxStates {
		return RunLength{}, degenerate(Invalid, "The chain needs between 2 and %d states.", maxStates)
	}
	if needed := limit / highest(moves); needed >= float64(states) {
		return RunLength{}, degenerate(Invalid, "The largest weight is smaller than a state: the chain needs over %.0f states.", needed)
	}
	chain := newChain(moves, limit, states)
	system := mat.NewDense(states, states, nil)
	for i := range states {
		system.Set(i, i, 1)
	}
	for _, step := range chain {
		system.Set(step.from, step.to, system.At(step.from, step.to)-step.probability)
	}
	ones := mat.NewVecDense(states, nil)
	for i := range states {
		ones.SetVec(i, 1)
	}
	var lengths mat.VecDense
	if err := lengths.SolveVec(system, ones); err != nil {
		return RunLength{}, degenerate(NoConvergence, "The chart never signals, or so rarely that its run length cannot be computed.")
	}
	return RunLength{Average: lengths.AtVec(0), Within: chain.within(states, within)}, nil
}

// maxStates bounds memory (8 states squared bytes) and time.
const maxStates = 2000

func checkMoves(moves []Move, limit float64) error {
	if !(limit > 0) || math.IsInf(limit, 1) {
		return degenerate(Invalid, "The limit must be above 0.")
	}
	var total float64
	up := false
	for _, m := range moves {
		if !(m.Probability >= 0) || math.IsNaN(m.Weight) || math.IsInf(m.Weight, 0) {
			return degenerate(Invalid, "A move has an impossible weight or probability.")
		}
		total += m.Probability
		up = up || m.Weight > 0 && m.Probability > 0
	}
	if math.Abs(total-1) > 1e-9 {
		return degenerate(Invalid, "The probabilities of the moves must sum to 1.")
	}
	if !up {
		return degenerate(Constant, "No case can raise the chart: it never signals.")
	}
	return nil
}

// highest is the largest weight that can occur.
func highest(moves []Move) float64 {
	most := math.Inf(-1)
	for _, m := range moves {
		if m.Probability > 0 {
			most = max(most, m.Weight)
		}
	}
	return most
}

// transition is one step of the chain; what is not in it is the signal.
type transition struct {
	from, to    int
	probability float64
}

type chain []transition

func newChain(moves []Move, limit float64, states int) chain {
	width := limit / float64(states)
	var c chain
	for i := range states {
		for _, m := range moves {
			end := max(0, float64(i)*width+m.Weight)
			if end >= limit {
				continue
			}
			at := end / width
			low := math.Floor(at + 1e-12) // a move onto a state belongs to it
			upper := max(0, at-low)
			c = append(c, transition{i, int(low), m.Probability * (1 - upper)})
			if upper > 0 {
				c = append(c, transition{i, min(int(low)+1, states-1), m.Probability * upper})
			}
		}
	}
	return c
}

// within is the chance of a signal within each number of cases, started at 0.
func (c chain) within(states int, cases []int) []float64 {
	most := 0
	for _, n := range cases {
		most = max(most, n)
	}
	now, next := make([]float64, states), make([]float64, states)
	now[0] = 1
	signalled := make([]float64, most+1)
	for t := 1; t <= most; t++ {
		clear(next)
		for _, step := range c {
			next[step.to] += now[step.from] * step.probability
		}
		now, next = next, now
		signalled[t] = 1 - sum(now)
	}
	answer := make([]float64, len(cases))
	for i, n := range cases {
		answer[i] = signalled[max(0, n)]
	}
	return answer
}
