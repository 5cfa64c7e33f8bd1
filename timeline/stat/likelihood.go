package stat

import (
	"context"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// logisticData is a logistic likelihood over columns of root mean square 1, with Firth's penalty or without.
type logisticData struct {
	ctx       context.Context
	columns   [][]float64
	scale     []float64 // what the columns were divided by
	y         []float64 // 0 or 1
	penalised bool
}

// logisticState is the likelihood at one point. Objective is what is maximised: with the penalty, in the coordinates of
// the given design. Residual[i] is y - pi, with the penalty its modified form.
type logisticState struct {
	beta      []float64
	logLik    float64
	objective float64
	score     []float64
	info      *mat.SymDense
	inverse   *mat.SymDense
	residual  []float64
}

func newLogisticData(ctx context.Context, d *Design, y []float64, penalised bool) *logisticData {
	l := &logisticData{ctx: ctx, y: y, penalised: penalised}
	for _, c := range d.columns {
		s := floats.Norm(c, 2) / math.Sqrt(float64(d.rows))
		scaled := make([]float64, len(c))
		floats.AddScaled(scaled, 1/s, c)
		l.columns, l.scale = append(l.columns, scaled), append(l.scale, s)
	}
	return l
}

// at evaluates the likelihood at beta; ok is false when the information is singular there, and when the fit is cancelled.
func (l *logisticData) at(beta []float64) (s *logisticState, ok bool) {
	n, p := len(l.y), len(l.columns)
	s = &logisticState{beta: beta, residual: make([]float64, n), score: make([]float64, p)}
	if l.ctx.Err() != nil {
		return s, false
	}
	weights, lean := make([]float64, n), make([]float64, n) // pi (1-pi), and 1/2 - pi
	size := p * (p + 1) / 2
	blocks := (n + blockRows - 1) / blockRows
	infos, logLiks := make([]float64, blocks*size), make([]float64, blocks)
	inBlocks(n, func(b, from, to int) {
		logLiks[b] = l.fillRows(beta, s.residual, weights, lean, from, to)
		l.addInformation(infos[b*size:(b+1)*size], weights[from:to], from, to)
	})
	total := make([]float64, size)
	for b := range blocks {
		floats.Add(total, infos[b*size:(b+1)*size])
	}
	s.logLik = sum(logLiks)
	s.info = symmetric(total, p)
	var root mat.Cholesky
	if !root.Factorize(s.info) {
		return s, false
	}
	s.inverse = mat.NewSymDense(p, nil)
	if err := root.InverseTo(s.inverse); err != nil {
		return s, false
	}
	s.objective = s.logLik
	if l.penalised {
		s.objective += root.LogDet() / 2
		for _, scale := range l.scale {
			s.objective += math.Log(scale)
		}
		l.addPenalty(s, &root, weights, lean)
	}
	for j, c := range l.columns {
		s.score[j] = floats.Dot(c, s.residual)
	}
	return s, !math.IsNaN(s.objective)
}

// fillRows gives residual, weight and lean of a block of rows, and returns its log likelihood.
func (l *logisticData) fillRows(beta, residual, weights, lean []float64, from, to int) float64 {
	eta := make([]float64, to-from)
	for j, c := range l.columns {
		floats.AddScaled(eta, beta[j], c[from:to])
	}
	var logLik float64
	// The logarithm of a product of a few factors in (1, 2] is cheaper than a logarithm each, and as exact.
	product := 1.0
	for k, v := range eta {
		i := from + k
		small := math.Exp(-math.Abs(v))
		chance := 1 / (1 + small)
		weights[i] = small / ((1 + small) * (1 + small))
		if v < 0 {
			chance = small / (1 + small)
		}
		// The residual is written so that neither side cancels.
		rest := chance
		if l.y[i] == 1 {
			rest = 1 / (1 + small)
			if v >= 0 {
				rest = small / (1 + small)
			}
			residual[i] = rest
			logLik += min(v, 0)
		} else {
			residual[i] = -rest
			logLik -= max(v, 0)
		}
		lean[i] = 0.5 - chance
		if product *= 1 + small; k%16 == 15 {
			logLik -= math.Log(product)
			product = 1
		}
	}
	return logLik - math.Log(product)
}

// addInformation fills the packed lower triangle of X'WX over a block of rows.
func (l *logisticData) addInformation(packed, weights []float64, from, to int) {
	weighted := make([]float64, to-from)
	at := 0
	for j := range l.columns {
		floats.MulTo(weighted, weights, l.columns[j][from:to])
		for k := range j + 1 {
			packed[at] = floats.Dot(weighted, l.columns[k][from:to])
			at++
		}
	}
}

// addPenalty turns the residuals into those of Firth's modified score: y - pi + h (1/2 - pi), h the leverage.
func (l *logisticData) addPenalty(s *logisticState, root *mat.Cholesky, weights, lean []float64) {
	p := len(l.columns)
	var lower, inverse mat.TriDense
	root.LTo(&lower)
	if err := inverse.InverseTri(&lower); err != nil {
		return // the factor of a positive definite matrix has an inverse
	}
	inBlocks(len(l.y), func(_, from, to int) {
		z, leverage := make([]float64, to-from), make([]float64, to-from)
		for j := range p {
			clear(z)
			for k := range j + 1 {
				floats.AddScaled(z, inverse.At(j, k), l.columns[k][from:to])
			}
			floats.Mul(z, z)
			floats.Add(leverage, z)
		}
		for k, h := range leverage {
			s.residual[from+k] += h * weights[from+k] * lean[from+k]
		}
	})
}

// symmetric unpacks a lower triangle.
func symmetric(packed []float64, p int) *mat.SymDense {
	m := mat.NewSymDense(p, nil)
	at := 0
	for j := range p {
		for k := range j + 1 {
			m.SetSym(j, k, packed[at])
			at++
		}
	}
	return m
}
