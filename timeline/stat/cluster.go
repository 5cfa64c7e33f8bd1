package stat

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Clustered holds what a linear model says when the observations of one cluster (the cases of one operator) may go together.
// SE, DF, P and Intervals stand in the order of the coefficients; DF is that of Student's t for each of them. Where Alone is
// set one cluster alone decides the coefficient: nothing tells how clusters differ in it, and SE, P and the interval lack that.
type Clustered struct {
	Clusters  int        `json:"clusters"`
	SE        []float64  `json:"se"`
	DF        []float64  `json:"df"`
	P         []float64  `json:"p"`
	Intervals []Interval `json:"intervals"`
	Alone     []bool     `json:"alone"`

	model  *LinearModel
	groups []cluster
}

// cluster is what one cluster adds, in the coordinates of the orthonormal columns: the information in it, the score freed
// of the pull that its own cases have on the fit, the matrix that frees it, and the directions that it alone decides.
type cluster struct {
	gram  *mat.SymDense // Q_g' Q_g
	score []float64     // Q_g' e_g
	freed []float64
	free  *mat.SymDense // V (1 - L)^(-1/2) V'
	alone [][]float64
}

// Clustered gives standard errors that respect clusters, with a correction for few of them: the residuals of each cluster
// are multiplied by (I - H_gg)^(-1/2) and the degrees of freedom are Satterthwaite's under independence. Cost n p^2, however
// large a cluster. Source: Bell RM, McCaffrey DF, Surv Methodol 2002;28:169-81, from memory; checked against R sandwich
// 3.0-2 vcovCL(type = "HC2") and, with weights and for the degrees of freedom, the formula written out in R with dense matrices.
func (m *LinearModel) Clustered(clusters []string) (Clustered, error) {
	if len(clusters) != m.N {
		return Clustered{}, degenerate(Invalid, "There are %d clusters for %d observations.", len(clusters), m.N)
	}
	groups := m.clusters(clusters)
	if len(groups) < 2 {
		return Clustered{}, degenerate(TooFew, "All observations are of one cluster.")
	}
	c := Clustered{Clusters: len(groups), model: m, groups: groups}
	inverse := m.fit.inverse()
	for j, b := range m.estimates {
		w := make([]float64, len(inverse)) // row j of R^-1
		for k := range w {
			w[k] = inverse[k][j]
		}
		se, df := c.spread(w)
		p := 1.0
		if se > 0 {
			p = studentTwoSided(b/se, df)
		}
		c.SE, c.DF, c.P = append(c.SE, se), append(c.DF, df), append(c.P, p)
		c.Intervals = append(c.Intervals, *about(b, twoSidedT(m.level, df)*se, m.level))
		c.Alone = append(c.Alone, c.decidedAlone(w))
	}
	return c, nil
}

// Mean is the interval of the fitted value at a row of terms, as Predict of the model gives it for independent observations;
// false where one cluster alone decides it.
func (c *Clustered) Mean(row []float64) (Interval, bool) {
	w := c.model.fit.forward(row)
	if c.decidedAlone(w) {
		return Interval{}, false
	}
	se, df := c.spread(w)
	return *about(floats.Dot(row, c.model.estimates), twoSidedT(c.model.level, df)*se, c.model.level), true
}

// spread is the standard error, with its degrees of freedom, of a combination of the coefficients; w is R^-T times it.
func (c *Clustered) spread(w []float64) (se, df float64) {
	for _, g := range c.groups {
		part := floats.Dot(g.freed, w)
		se += part * part
	}
	return math.Sqrt(se), satterthwaite(c.groups, w)
}

// aloneShare is the share of a combination, in length, from which a direction that one cluster decides counts as part of it.
const aloneShare = 1e-6

func (c *Clustered) decidedAlone(w []float64) bool {
	length := floats.Norm(w, 2)
	for _, g := range c.groups {
		for _, direction := range g.alone {
			if math.Abs(floats.Dot(direction, w)) > aloneShare*length {
				return true
			}
		}
	}
	return false
}

// Clustered is that of the weighted least squares with which a logistic fit on the design ends: weights c (1 - c) for the
// chances c, outcomes the linear predictor plus the residual over the weight. Unlike the sandwich without a correction it
// holds with few operators. Source: Pustejovsky JE, Tipton E, J Bus Econ Stat 2018;36:672-83 (that form for generalised
// linear models), from memory; checked by simulation.
func (m *LogisticModel) Clustered(d *Design, clusters []string) (Clustered, error) {
	if d.rows != m.N || len(d.columns) != len(m.estimates) {
		return Clustered{}, degenerate(Invalid, "The design is not that of the fit.")
	}
	eta := d.times(m.estimates)
	weights := make([]float64, m.N)
	for i, v := range eta {
		small := math.Exp(-math.Abs(v))
		// A chance that rounds to 0 or 1 still counts, with hardly any weight.
		weights[i] = max(small/((1+small)*(1+small)), 1e-12)
		eta[i] += m.residual[i] / weights[i]
	}
	line, err := LeastSquares(d, eta, weights, m.level)
	if err != nil {
		return Clustered{}, err
	}
	return line.Clustered(clusters)
}

// clusters sums per cluster, in order of first appearance.
func (m *LinearModel) clusters(names []string) []cluster {
	var groups []cluster
	p := len(m.estimates)
	place := map[string]int{}
	row := make([]float64, p)
	for i, name := range names {
		at, known := place[name]
		if !known {
			at = len(groups)
			place[name] = at
			groups = append(groups, cluster{gram: mat.NewSymDense(p, nil), score: make([]float64, p)})
		}
		g := &groups[at]
		for j, q := range m.fit.q {
			row[j] = q[i]
		}
		floats.AddScaled(g.score, m.residuals[i], row)
		raw := g.gram.RawSymmetric()
		for j := range p {
			floats.AddScaled(raw.Data[j*raw.Stride+j:j*raw.Stride+p], row[j], row[j:])
		}
	}
	for i := range groups {
		groups[i].liberate()
	}
	return groups
}

// liberate fills free and freed. A direction that the cluster alone decides (eigenvalue 1) is left out of them and kept.
func (g *cluster) liberate() {
	p := len(g.score)
	var eigen mat.EigenSym
	g.free = mat.NewSymDense(p, nil)
	g.freed = make([]float64, p)
	if !eigen.Factorize(g.gram, true) {
		for j := range p { // nothing is known of it
			direction := make([]float64, p)
			direction[j] = 1
			g.alone = append(g.alone, direction)
		}
		return
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	for k, l := range eigen.Values(nil) {
		if 1-l < 1e-10 {
			g.alone = append(g.alone, mat.Col(nil, k, &vectors))
			continue
		}
		g.free.SymRankOne(g.free, 1/math.Sqrt(1-l), vectors.ColView(k))
	}
	mat.NewVecDense(p, g.freed).MulVec(g.free, mat.NewVecDense(p, g.score))
}

// satterthwaite is the degrees of freedom of one variance: (sum of eigenvalues)^2 / sum of their squares of the matrix over
// clusters of its quadratic form. With u = free w and k = gram u, entry (g, h) is -k_g'k_h, plus u_g'k_g where g = h.
func satterthwaite(groups []cluster, w []float64) float64 {
	p := len(w)
	ks := make([][]float64, len(groups))
	own := make([]float64, len(groups))
	u, k := mat.NewVecDense(p, nil), mat.NewVecDense(p, nil)
	total := mat.NewSymDense(p, nil) // sum of k k'
	for i, g := range groups {
		u.MulVec(g.free, mat.NewVecDense(p, w))
		k.MulVec(g.gram, u)
		own[i] = mat.Dot(u, k)
		ks[i] = append([]float64(nil), k.RawVector().Data...)
		total.SymRankOne(total, 1, k)
	}
	// The sum over all pairs of (k_g'k_h)^2 is the squared Frobenius norm of the sum of k k', so no pair is visited.
	norm := mat.Norm(total, 2)
	squares := norm * norm
	var trace float64
	for i, k := range ks {
		kk := floats.Dot(k, k)
		trace += own[i] - kk
		squares += own[i]*own[i] - 2*own[i]*kk
	}
	return max(1, trace*trace/squares)
}

// InflationFactors tell how much of each term the others already say: the factor by which the variance of its coefficient
// grows because of them, 1 when they say nothing. The intercept has none (0). Source: Marquardt DW, Technometrics
// 1970;12:591-612, from memory; checked against the definition 1/(1 - R squared).
func (m *LinearModel) InflationFactors(d *Design) []float64 {
	factors := make([]float64, len(d.columns))
	inverse := m.fit.inverse()
	for j, column := range d.columns {
		if d.intercept && j == 0 {
			continue
		}
		var centre, variance, spread float64
		if d.intercept {
			centre = floats.Sum(column) / float64(d.rows)
		}
		for _, v := range column {
			spread += (v - centre) * (v - centre)
		}
		for k := range inverse {
			variance += inverse[k][j] * inverse[k][j]
		}
		factors[j] = spread * variance
	}
	return factors
}
