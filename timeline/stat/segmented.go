package stat

import "gonum.org/v1/gonum/floats"

// BrokenLine is y = B0 + B1 x + B2 max(0, x - Break): one bend, no jump.
type BrokenLine struct {
	Break       float64      `json:"break"`
	SlopeBefore float64      `json:"slopeBefore"`
	SlopeAfter  float64      `json:"slopeAfter"`
	Model       *LinearModel `json:"model"` // given the break
	SSE         float64      `json:"sse"`
	SSELine     float64      `json:"sseLine"`    // of one straight line
	SSEs        []float64    `json:"candidates"` // of each candidate, in order
	// F compares with one straight line. Its p is too small, since the break was searched for.
	F     Test     `json:"f"`
	N     int      `json:"n"`
	Notes []string `json:"notes,omitempty"`
}

// Segmented tries each candidate break and takes the one with the least sum of squares, the first of equals. Source:
// Hudson DJ, J Am Stat Assoc 1966;61:1097-129, by grid, from memory; checked against R lm.fit.
func Segmented(x, y, candidates []float64, level float64) (*BrokenLine, error) {
	if err := checkPairs(x, y, level, 5); err != nil {
		return nil, err
	}
	if len(candidates) == 0 {
		return nil, degenerate(TooFew, "There is no candidate for the break.")
	}
	line := NewDesign(len(x))
	if err := line.Add("x", x); err != nil {
		return nil, err
	}
	straight, err := LeastSquares(line, y, nil, level)
	if err != nil {
		return nil, err
	}
	b := &BrokenLine{N: len(x), SSELine: floats.Dot(straight.residuals, straight.residuals)}
	for _, at := range candidates {
		m, err := bentAt(x, y, at, level)
		if err != nil {
			return nil, err
		}
		sse := floats.Dot(m.residuals, m.residuals)
		b.SSEs = append(b.SSEs, sse)
		if b.Model == nil || sse < b.SSE {
			b.Model, b.SSE, b.Break = m, sse, at
		}
	}
	b.SlopeBefore = b.Model.estimates[1]
	b.SlopeAfter = b.SlopeBefore + b.Model.estimates[2]
	b.F = BetterFit(b.SSELine, b.SSE, 2, b.N-4)
	b.F.N = b.N
	b.Notes = append(b.Notes, "The place of the break was searched for, so its p value is too small; take a break for real only when p is very small.")
	if b.Break == candidates[0] || b.Break == candidates[len(candidates)-1] {
		b.Notes = append(b.Notes, "The best break lies at the edge of the search: there may be none.")
	}
	return b, nil
}

func bentAt(x, y []float64, at, level float64) (*LinearModel, error) {
	beyond := make([]float64, len(x))
	for i, v := range x {
		beyond[i] = max(0, v-at)
	}
	d := NewDesign(len(x))
	if err := d.Add("x", x); err != nil {
		return nil, err
	}
	if err := d.Add("x beyond the break", beyond); err != nil {
		return nil, err
	}
	return LeastSquares(d, y, nil, level)
}

// BetterFit is the F test of a fit with so many terms more, which leaves the sum of squares sse with so much freedom,
// against a narrower one that leaves narrower. A fit without error proves nothing.
func BetterFit(narrower, sse float64, terms, freedom int) Test {
	t := Test{DF: float64(terms), P: 1}
	if sse > 0 && freedom > 0 {
		t.Statistic = max(0, narrower-sse) / t.DF / (sse / float64(freedom))
		t.P = fisherUpper(t.Statistic, t.DF, float64(freedom))
	}
	return t
}
