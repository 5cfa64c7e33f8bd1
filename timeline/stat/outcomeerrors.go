package stat

import "math"

// OutcomeErrors is a regression whose outcomes are measured with errors of known size. Between is the variance of the
// outcomes about the line without those errors, Share the part of the residual variance that they explain (0 to 1).
type OutcomeErrors struct {
	Model   *LinearModel
	Weights []float64
	Between float64
	Share   float64
}

// LeastSquaresWithErrors fits y on the design when observation i carries an error of variance variances[i] beside a common
// spread: once without weights, which gives the common spread by its moments, then with weights 1/(spread + variance), set
// so that their mean is 1. Errors of the outcome do not bend a coefficient; the weights let the exact counts say more.
// Source: Fuller WA, Measurement Error Models, 1987, section 3.1.2, from memory; checked by simulation.
func LeastSquaresWithErrors(d *Design, y, variances []float64, level float64) (OutcomeErrors, error) {
	if len(variances) != d.rows {
		return OutcomeErrors{}, degenerate(Invalid, "There are %d variances for %d observations.", len(variances), d.rows)
	}
	plain, err := LeastSquares(d, y, nil, level)
	if err != nil {
		return OutcomeErrors{}, err
	}
	var squares, known float64
	for i, v := range variances {
		if !(v >= 0) || math.IsInf(v, 1) {
			return OutcomeErrors{}, degenerate(Invalid, "A variance is negative or not a number (position %d).", i+1)
		}
		squares += plain.residuals[i] * plain.residuals[i]
		known += v * (1 - plain.leverage[i])
	}
	if squares == 0 || known == 0 {
		return OutcomeErrors{Model: plain, Between: squares / float64(plain.DF)}, nil
	}
	o := OutcomeErrors{Share: min(1, known/squares), Weights: make([]float64, d.rows)}
	// A spread of 0 would let one exact count decide: a hundredth of the residual variance is the floor.
	o.Between = max(squares-known, 0.01*squares) / float64(plain.DF)
	var total float64
	for i, v := range variances {
		o.Weights[i] = 1 / (o.Between + v)
		total += o.Weights[i]
	}
	for i := range o.Weights {
		o.Weights[i] *= float64(d.rows) / total
	}
	o.Model, err = LeastSquares(d, y, o.Weights, level)
	return o, err
}
