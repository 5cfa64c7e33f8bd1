package stat

import (
	"context"
	"math"
	"slices"

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
	// What the last evaluation left, by row: y - pi (with the penalty its modified form), pi (1-pi), and 1/2 - pi.
	residual, weights, lean []float64
	// Sums by block, added up in the order of the blocks.
	infos, logLiks, scores []float64
}

// logisticState is the likelihood at one point. Objective is what is maximised: with the penalty, in the coordinates of
// the given design.
type logisticState struct {
	beta      []float64
	logLik    float64
	objective float64
	score     []float64
	info      *mat.SymDense
	inverse   *mat.SymDense
}

func newLogisticData(ctx context.Context, d *Design, y []float64, penalised bool) *logisticData {
	n, p := d.rows, len(d.columns)
	blocks := (n + blockRows - 1) / blockRows
	l := &logisticData{
		ctx: ctx, y: y, penalised: penalised, residual: make([]float64, n), weights: make([]float64, n), lean: make([]float64, n),
		infos: make([]float64, blocks*p*(p+1)/2), logLiks: make([]float64, blocks), scores: make([]float64, blocks*p),
	}
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
	s = &logisticState{beta: beta, score: make([]float64, p)}
	if l.ctx.Err() != nil {
		return s, false
	}
	size := p * (p + 1) / 2
	inBlocks(n, func(b, from, to int, room *scratch) {
		l.logLiks[b] = l.fillRows(beta, from, to, room)
		l.addInformation(l.infos[b*size:(b+1)*size], from, to, room)
	})
	total := make([]float64, size)
	for b := range l.logLiks {
		floats.Add(total, l.infos[b*size:(b+1)*size])
	}
	s.logLik = sum(l.logLiks)
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
	var whiten *mat.TriDense
	if l.penalised {
		s.objective += root.LogDet() / 2
		for _, scale := range l.scale {
			s.objective += math.Log(scale)
		}
		if whiten = inverseRoot(&root); whiten == nil {
			return s, false
		}
	}
	inBlocks(n, func(b, from, to int, room *scratch) {
		if whiten != nil {
			l.addPenalty(whiten, from, to, room)
		}
		for j, c := range l.columns {
			l.scores[b*p+j] = floats.Dot(c[from:to], l.residual[from:to])
		}
	})
	for b := range l.logLiks {
		floats.Add(s.score, l.scores[b*p:(b+1)*p])
	}
	return s, !math.IsNaN(s.objective)
}

// residualAt gives the residuals at a state, which later evaluations do not change; false when the fit is cancelled.
func (l *logisticData) residualAt(s *logisticState) ([]float64, bool) {
	if _, ok := l.at(s.beta); !ok {
		return nil, false
	}
	return slices.Clone(l.residual), true
}

// fillRows gives residual, weight and lean of a block of rows, and returns its log likelihood.
func (l *logisticData) fillRows(beta []float64, from, to int, room *scratch) float64 {
	eta := room.first[:to-from]
	clear(eta)
	for j, c := range l.columns {
		floats.AddScaled(eta, beta[j], c[from:to])
	}
	y, residual, weights, lean := l.y[from:to], l.residual[from:to], l.weights[from:to], l.lean[from:to]
	var logLik float64
	// The logarithm of a product of a few factors in (1, 2] is cheaper than a logarithm each, and as exact.
	product := 1.0
	for k, v := range eta {
		small := math.Exp(-math.Abs(v))
		more := 1 / (1 + small) // the chance of the likelier side
		less := small * more    // written so that neither side cancels
		weights[k] = less * more
		chance, rest := more, less
		if v < 0 {
			chance, rest = less, more
		}
		if y[k] == 1 {
			residual[k] = rest
			logLik += min(v, 0)
		} else {
			residual[k] = -chance
			logLik -= max(v, 0)
		}
		lean[k] = 0.5 - chance
		if product *= 1 + small; k%16 == 15 {
			logLik -= math.Log(product)
			product = 1
		}
	}
	return logLik - math.Log(product)
}

// addInformation fills the packed lower triangle of X'WX over a block of rows.
func (l *logisticData) addInformation(packed []float64, from, to int, room *scratch) {
	weighted := room.first[:to-from]
	at := 0
	for j := range l.columns {
		floats.MulTo(weighted, l.weights[from:to], l.columns[j][from:to])
		for k := range j + 1 {
			packed[at] = floats.Dot(weighted, l.columns[k][from:to])
			at++
		}
	}
}

// inverseRoot is L^-1 of the information LL'; nil where it has none.
func inverseRoot(root *mat.Cholesky) *mat.TriDense {
	var lower, inverse mat.TriDense
	root.LTo(&lower)
	if err := inverse.InverseTri(&lower); err != nil {
		return nil
	}
	return &inverse
}

// addPenalty turns the residuals of a block into those of Firth's modified score: y - pi + h (1/2 - pi), h the leverage.
func (l *logisticData) addPenalty(whiten *mat.TriDense, from, to int, room *scratch) {
	z, leverage := room.first[:to-from], room.second[:to-from]
	clear(leverage)
	for j := range l.columns {
		clear(z)
		for k := range j + 1 {
			floats.AddScaled(z, whiten.At(j, k), l.columns[k][from:to])
		}
		for i, v := range z {
			leverage[i] += v * v
		}
	}
	residual, weights, lean := l.residual[from:to], l.weights[from:to], l.lean[from:to]
	for i, h := range leverage {
		residual[i] += h * weights[i] * lean[i]
	}
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
