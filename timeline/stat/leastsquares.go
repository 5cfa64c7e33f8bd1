package stat

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// LinearModel is a fitted linear regression. F tests all terms but the intercept; without an intercept RSquared and F
// refer to the sum of squares about 0.
type LinearModel struct {
	Coefficients []Coefficient `json:"coefficients"`
	ResidualSD   float64       `json:"residualSd"`
	DF           int           `json:"df"`
	RSquared     float64       `json:"rSquared"`
	AdjRSquared  float64       `json:"adjRSquared"`
	F            Test          `json:"f"` // DF is that of the terms, the second is DF
	N            int           `json:"n"`
	Notes        []string      `json:"notes,omitempty"`

	level     float64
	fit       orthogonal
	estimates []float64
	residuals []float64 // times the root weights
	leverage  []float64
	meat      [][]float64 // of HC3, in the coordinates of Q; nil where no such standard error exists
}

// LeastSquares fits y on the design. Weights are inverse variances up to a factor, nil for equal ones. Each coefficient
// has the classical and the HC3 standard error. Source: textbook, by QR; HC3: MacKinnon JG, White H, J Econom
// 1985;29:305-25, Long JS, Ervin LH, Am Stat 2000;54:217-24, from memory. Checked against NIST StRD, R lm and statsmodels.
func LeastSquares(d *Design, y, weights []float64, level float64) (*LinearModel, error) {
	if err := checkRegression(d, y, level); err != nil {
		return nil, err
	}
	n, p := d.rows, len(d.columns)
	if n <= p {
		return nil, degenerate(TooFew, "%d observations cannot carry %d terms and an error.", n, p)
	}
	if d.intercept && slices.Min(y) == slices.Max(y) {
		return nil, degenerate(Constant, "The outcome does not vary: there is nothing to explain.")
	}
	roots, err := rootsOf(weights, n)
	if err != nil {
		return nil, err
	}
	o, err := orthogonalise(d, roots)
	if err != nil {
		return nil, err
	}
	m := &LinearModel{N: n, DF: n - p, level: level, fit: o}
	m.estimates, m.residuals = solveRefined(d, o, y, roots)
	sse := floats.Dot(m.residuals, m.residuals)
	m.ResidualSD = math.Sqrt(sse / float64(m.DF))
	m.leverage = o.leverages()
	m.quality(d, y, roots, sse)
	m.coefficients(d)
	return m, nil
}

func checkRegression(d *Design, y []float64, level float64) error {
	if err := checkLevel(level); err != nil {
		return err
	}
	if len(d.columns) == 0 {
		return degenerate(TooFew, "The model has no term.")
	}
	if len(y) != d.rows {
		return degenerate(Invalid, "There are %d outcomes for %d observations.", len(y), d.rows)
	}
	return checkFinite("The outcome", y)
}

func rootsOf(weights []float64, n int) ([]float64, error) {
	if weights == nil {
		return nil, nil
	}
	if len(weights) != n {
		return nil, degenerate(Invalid, "There are %d weights for %d observations.", len(weights), n)
	}
	roots := make([]float64, n)
	for i, w := range weights {
		if !(w > 0) || math.IsInf(w, 1) {
			return nil, degenerate(Invalid, "Weights must be above 0 (position %d).", i+1)
		}
		roots[i] = math.Sqrt(w)
	}
	return roots, nil
}

// solveRefined solves R b = Q'y and once more for what is left: the second step returns the digits that a badly
// conditioned design takes.
func solveRefined(d *Design, o orthogonal, y, roots []float64) (b, residuals []float64) {
	b = make([]float64, len(d.columns))
	for range 3 {
		residuals = d.times(b)
		for i := range residuals {
			residuals[i] = y[i] - residuals[i]
		}
		if roots != nil {
			floats.Mul(residuals, roots)
		}
		floats.Add(b, o.back(o.project(residuals)))
	}
	// The residuals belong to the b before the last step, which only moves the last digits.
	return b, residuals
}

func (m *LinearModel) quality(d *Design, y, roots []float64, sse float64) {
	var centre float64
	terms := float64(len(d.columns))
	if d.intercept {
		terms--
		total, weight := 0.0, 0.0
		for i, v := range y {
			w := weightAt(roots, i)
			total, weight = total+w*v, weight+w
		}
		centre = total / weight
	}
	var sst float64
	for i, v := range y {
		sst += weightAt(roots, i) * (v - centre) * (v - centre)
	}
	if sse <= 1e-24*sst {
		m.Notes = append(m.Notes, "The terms fit the outcome exactly, up to rounding: standard errors and tests say nothing.")
	}
	if sst == 0 || terms == 0 {
		return // nothing to explain, or nothing to explain it with
	}
	df := float64(m.DF)
	m.RSquared = 1 - sse/sst
	m.AdjRSquared = 1 - (sse/df)/(sst/(terms+df))
	m.F = Test{Statistic: (sst - sse) / terms / (sse / df), DF: terms, N: m.N}
	if sse == 0 {
		m.F.Statistic = math.MaxFloat64
	}
	m.F.P = fisherUpper(m.F.Statistic, terms, df)
}

func weightAt(roots []float64, i int) float64 {
	if roots == nil {
		return 1
	}
	return roots[i] * roots[i]
}

func (m *LinearModel) coefficients(d *Design) {
	p := len(d.columns)
	identity := make([][]float64, p)
	for j := range identity {
		identity[j] = make([]float64, p)
		identity[j][j] = m.ResidualSD * m.ResidualSD
	}
	se := m.fit.spread(identity)
	var robust []float64
	if m.meat = m.hc3(); m.meat != nil {
		robust = m.fit.spread(m.meat)
	}
	t := twoSidedT(m.level, float64(m.DF))
	for j, term := range d.Terms {
		b := m.estimates[j]
		c := Coefficient{Term: term, Estimate: b, SE: se[j], Interval: *about(b, t*se[j], m.level)}
		if se[j] > 0 {
			c.Statistic = b / se[j]
			c.P = studentTwoSided(c.Statistic, float64(m.DF))
		}
		if robust != nil {
			c.RobustSE, c.RobustInterval = &robust[j], about(b, t*robust[j], m.level)
			if robust[j] > 0 {
				c.RobustP = pointTo(studentTwoSided(b/robust[j], float64(m.DF)))
			}
		}
		m.Coefficients = append(m.Coefficients, c)
	}
}

// hc3 gives the middle of the sandwich that holds without equal spread; nil when one observation alone decides a coefficient.
func (m *LinearModel) hc3() [][]float64 {
	p := len(m.fit.q)
	factor := make([]float64, m.N)
	for i, h := range m.leverage {
		if 1-h < 1e-10 {
			m.Notes = append(m.Notes, "One observation alone decides a coefficient: no HC3 standard error exists.")
			return nil
		}
		e := m.residuals[i] / (1 - h)
		factor[i] = e * e
	}
	meat := make([][]float64, p)
	scaled := make([]float64, m.N)
	for j := range meat {
		meat[j] = make([]float64, p)
		floats.MulTo(scaled, factor, m.fit.q[j])
		for k := range j + 1 {
			meat[j][k] = floats.Dot(scaled, m.fit.q[k])
			meat[k][j] = meat[j][k]
		}
	}
	return meat
}
