package stat

import (
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Design is the matrix of a regression: one named column per term, one row per observation.
type Design struct {
	Terms   []string
	columns [][]float64
	rows    int
	// intercept says that the first column is the intercept.
	intercept bool
}

// Intercept is the name of the constant term.
const Intercept = "(intercept)"

// NewDesign starts a design for n observations with an intercept.
func NewDesign(n int) *Design {
	ones := make([]float64, n)
	for i := range ones {
		ones[i] = 1
	}
	return &Design{Terms: []string{Intercept}, columns: [][]float64{ones}, rows: n, intercept: true}
}

// NewDesignWithoutIntercept starts an empty design for n observations.
func NewDesignWithoutIntercept(n int) *Design { return &Design{rows: n} }

// Rows is the number of observations.
func (d *Design) Rows() int { return d.rows }

// Row is the values of the terms of one observation.
func (d *Design) Row(i int) []float64 {
	row := make([]float64, len(d.columns))
	for j, c := range d.columns {
		row[j] = c[i]
	}
	return row
}

// Add appends a term; the values are kept, not copied.
func (d *Design) Add(term string, values []float64) error {
	if len(values) != d.rows {
		return degenerate(Invalid, "%s has %d values for %d observations.", term, len(values), d.rows)
	}
	if err := checkFinite(term, values); err != nil {
		return err
	}
	d.Terms, d.columns = append(d.Terms, term), append(d.columns, values)
	return nil
}

// AddFactor appends one 0/1 term per level but the first, named "name=level": each is compared with the first level.
func (d *Design) AddFactor(name string, levels, values []string) error {
	for i, v := range values {
		if !slices.Contains(levels, v) {
			return degenerate(Invalid, "%s has the unknown level %q (position %d).", name, v, i+1)
		}
	}
	if len(levels) < 2 {
		return degenerate(Constant, "%s has fewer than two levels.", name)
	}
	for _, level := range levels[1:] {
		is := make([]float64, len(values))
		for i, v := range values {
			if v == level {
				is[i] = 1
			}
		}
		if err := d.Add(name+"="+level, is); err != nil {
			return err
		}
	}
	return nil
}

// times is the linear predictor: the columns weighted by b.
func (d *Design) times(b []float64) []float64 {
	eta := make([]float64, d.rows)
	for j, c := range d.columns {
		floats.AddScaled(eta, b[j], c)
	}
	return eta
}

// Coefficient is one term of a fitted model. Statistic is t or z; P and the interval belong to it. RobustSE,
// RobustInterval and RobustP (HC3, or clustered) do not rest on equal spread or on independence within a cluster; nil where
// not asked for or undefined.
type Coefficient struct {
	Term           string    `json:"term"`
	Estimate       float64   `json:"estimate"`
	SE             float64   `json:"se"`
	Statistic      float64   `json:"statistic"`
	P              float64   `json:"p"`
	Interval       Interval  `json:"interval"`
	RobustSE       *float64  `json:"robustSe"`
	RobustInterval *Interval `json:"robustInterval"`
	RobustP        *float64  `json:"robustP"`
}
