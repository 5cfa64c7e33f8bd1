package stat

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Prediction is the fitted value at one row of terms, with the interval of the mean there and that of one new case.
type Prediction struct {
	Value float64  `json:"value"`
	Mean  Interval `json:"mean"`
	New   Interval `json:"new"`
}

// Predict gives the fitted value for a row of terms in the order of the design (with its intercept). Weight is that of
// the new case (1 without weights). The interval of a new case supposes errors near to normal.
func (m *LinearModel) Predict(row []float64, weight float64) (Prediction, error) {
	if len(row) != len(m.estimates) || !(weight > 0) {
		return Prediction{}, degenerate(Invalid, "A prediction needs %d terms and a weight above 0.", len(m.estimates))
	}
	value := floats.Dot(row, m.estimates)
	z := m.fit.forward(row)
	atRow := floats.Dot(z, z)
	t := twoSidedT(m.level, float64(m.DF)) * m.ResidualSD
	return Prediction{
		Value: value,
		Mean:  *about(value, t*math.Sqrt(atRow), m.level),
		New:   *about(value, t*math.Sqrt(1/weight+atRow), m.level),
	}, nil
}

// RobustMean is the interval of the fitted value at a row of terms with the HC3 standard error; false where there is none.
func (m *LinearModel) RobustMean(row []float64) (Interval, bool) {
	if m.meat == nil {
		return Interval{}, false
	}
	z := m.fit.forward(row)
	var v float64
	for a := range z {
		v += z[a] * floats.Dot(m.meat[a], z)
	}
	half := twoSidedT(m.level, float64(m.DF)) * math.Sqrt(max(0, v))
	return *about(floats.Dot(row, m.estimates), half, m.level), true
}

// Influence tells how far single observations carry the fit.
type Influence struct {
	// Residuals are in the unit of the outcome (times root weight), Studentised ones in their own leave-one-out SD.
	Residuals   []float64 `json:"residuals"`
	Studentised []float64 `json:"studentised"`
	Leverage    []float64 `json:"leverage"`
	Cook        []float64 `json:"cook"`
	// Driving are the observations with a Cook's distance above 1 or above 4 / (n - p), the most influential first, at
	// most ten.
	Driving []int `json:"driving"`
}

// Influence computes leverage, studentised residuals and Cook's distance. Where an observation has leverage 1, or the fit
// is exact, the figures that would divide by 0 are 0. Source: Cook RD, Technometrics 1977;19:15-8, from memory; the
// threshold 4/(n-p) is common practice.
func (m *LinearModel) Influence() Influence {
	p := float64(len(m.estimates))
	in := Influence{
		Residuals: m.residuals, Leverage: m.leverage,
		Studentised: make([]float64, m.N), Cook: make([]float64, m.N),
	}
	s2, df := m.ResidualSD*m.ResidualSD, float64(m.DF)
	for i, e := range m.residuals {
		rest := 1 - m.leverage[i]
		if rest < 1e-10 || s2 == 0 {
			continue
		}
		in.Cook[i] = e * e * m.leverage[i] / (p * s2 * rest * rest)
		if without := (df*s2 - e*e/rest) / (df - 1); df > 1 && without > 0 {
			in.Studentised[i] = e / math.Sqrt(without*rest)
		}
	}
	in.Driving = mostAbove(in.Cook, min(1, 4/df), 10)
	return in
}

// Pull gives by how much the coefficient of a term is larger than it would be without each observation (weights and all
// else unchanged). Source: Belsley DA, Kuh E, Welsch RE, Regression Diagnostics, 1980 (DFBETA), from memory; checked by
// leaving observations out.
func (m *LinearModel) Pull(term int) ([]float64, error) {
	if term < 0 || term >= len(m.estimates) {
		return nil, degenerate(Invalid, "The model has no such term.")
	}
	inverse := m.fit.inverse()
	pull := make([]float64, m.N)
	for k, q := range m.fit.q {
		floats.AddScaled(pull, inverse[k][term], q)
	}
	for i, e := range m.residuals {
		if rest := 1 - m.leverage[i]; rest < 1e-10 {
			pull[i] = 0
		} else {
			pull[i] *= e / rest
		}
	}
	return pull, nil
}

// mostAbove gives the positions of up to count values above the threshold, largest first, the earlier of equals first.
func mostAbove(values []float64, threshold float64, count int) []int {
	found := []int{}
	for i, v := range values {
		if v <= threshold {
			continue
		}
		at := len(found)
		for at > 0 && values[found[at-1]] < v {
			at--
		}
		found = append(found, 0)
		copy(found[at+1:], found[at:])
		found[at] = i
		found = found[:min(len(found), count)]
	}
	return found
}

// AddedVariable gives the points of the added-variable plot of one term: what is left of the outcome (Y) and of the term
// (X) after the other terms. Their slope, by the same weights (nil: equal ones), is the term's coefficient.
func AddedVariable(d *Design, y, weights []float64, term int) (x, rest []float64, err error) {
	if term < 0 || term >= len(d.columns) || len(d.columns) < 2 {
		return nil, nil, degenerate(Invalid, "The model has no such term beside others.")
	}
	if len(y) != d.rows {
		return nil, nil, degenerate(Invalid, "There are %d outcomes for %d observations.", len(y), d.rows)
	}
	others := &Design{rows: d.rows}
	for j, c := range d.columns {
		if j != term {
			others.Terms, others.columns = append(others.Terms, d.Terms[j]), append(others.columns, c)
		}
	}
	roots, err := rootsOf(weights, d.rows)
	if err != nil {
		return nil, nil, err
	}
	o, err := orthogonalise(others, roots)
	if err != nil {
		return nil, nil, err
	}
	_, x = solveRefined(others, o, d.columns[term], roots)
	_, rest = solveRefined(others, o, y, roots)
	if roots != nil {
		floats.Div(x, roots)
		floats.Div(rest, roots)
	}
	return x, rest, nil
}
