package stat

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"zonule/timeline"
)

// QuantileModel is a linear model of one quantile of the outcome. Objective is the sum of check losses at the optimum.
type QuantileModel struct {
	Tau          float64       `json:"tau"`
	Coefficients []Coefficient `json:"coefficients"`
	Objective    float64       `json:"objective"`
	N            int           `json:"n"`
	Notes        []string      `json:"notes,omitempty"`
}

// QuantileRegression fits the tau quantile of y on the design: the optimum is a plane through as many observations as
// there are terms, found exactly. Standard errors are Powell's kernel sandwich with the bandwidth of Hall and Sheather;
// Student intervals with n - p degrees of freedom. Source: Koenker R, Bassett G, Econometrica 1978;46:33-50; Koenker R,
// Quantile Regression 2005, 3.4, from memory; checked against R quantreg 5.94 (method br, se ker).
func QuantileRegression(d *Design, y []float64, tau, level float64) (*QuantileModel, error) {
	if err := checkRegression(d, y, level); err != nil {
		return nil, err
	}
	if !(tau > 0 && tau < 1) {
		return nil, degenerate(Invalid, "The quantile must lie between 0 and 1, not %g.", tau)
	}
	n, p := d.rows, len(d.columns)
	if n <= p {
		return nil, degenerate(TooFew, "%d observations cannot carry %d terms.", n, p)
	}
	if _, err := orthogonalise(d, nil); err != nil {
		return nil, err
	}
	b, err := fitQuantile(d, y, tau)
	if err != nil {
		return nil, err
	}
	m := &QuantileModel{Tau: tau, N: n}
	residuals := d.times(b)
	losses := make([]float64, n)
	for i := range residuals {
		residuals[i] = y[i] - residuals[i]
		losses[i] = checkLoss(residuals[i], tau)
	}
	m.Objective = sum(losses)
	se, reason := kernelErrors(d, residuals, tau)
	if reason != "" {
		m.Notes = append(m.Notes, reason)
	}
	df := float64(n - p)
	t := twoSidedT(level, df)
	for j, term := range d.Terms {
		c := Coefficient{Term: term, Estimate: b[j], Interval: *about(b[j], 0, level)}
		if se != nil {
			c.SE, c.Statistic = se[j], b[j]/se[j]
			c.P, c.Interval = studentTwoSided(c.Statistic, df), *about(b[j], t*se[j], level)
		}
		m.Coefficients = append(m.Coefficients, c)
	}
	if float64(n)*min(tau, 1-tau) < 5*float64(p) {
		m.Notes = append(m.Notes, "Few cases lie beyond this quantile: its standard errors are rough.")
	}
	return m, nil
}

func checkLoss(residual, tau float64) float64 {
	if residual < 0 {
		return (tau - 1) * residual
	}
	return tau * residual
}

// kernelErrors gives the standard errors, or the reason why there are none.
func kernelErrors(d *Design, residuals []float64, tau float64) (se []float64, reason string) {
	n, p := float64(d.rows), len(d.columns)
	band := sheatherBand(tau, n)
	for tau-band <= 0 || tau+band >= 1 {
		band /= 2
	}
	_, squares := momentsOf(residuals)
	sorted := slices.Sorted(slices.Values(residuals))
	iqr := timeline.Quantile(sorted, 0.75) - timeline.Quantile(sorted, 0.25)
	width := (normalQuantile(tau+band) - normalQuantile(tau-band)) * min(math.Sqrt(squares/(n-1)), iqr/1.34)
	if !(width > 0) {
		return nil, "The residuals do not spread: no standard error exists, and the interval is a point."
	}
	density := make([]float64, d.rows)
	for i, r := range residuals {
		u := r / width
		density[i] = math.Exp(-u*u/2) / (math.Sqrt(2*math.Pi) * width)
	}
	bread, meat := mat.NewSymDense(p, nil), mat.NewSymDense(p, nil)
	for j := range p {
		for k := range j + 1 {
			var b, m float64
			for i := range density {
				product := d.columns[j][i] * d.columns[k][i]
				b, m = b+density[i]*product, m+product
			}
			bread.SetSym(j, k, b)
			meat.SetSym(j, k, m)
		}
	}
	var root mat.Cholesky
	if !root.Factorize(bread) {
		return nil, "Too few cases lie near this quantile: no standard error exists, and the interval is a point."
	}
	inverse := mat.NewSymDense(p, nil)
	if err := root.InverseTo(inverse); err != nil {
		return nil, "Too few cases lie near this quantile: no standard error exists, and the interval is a point."
	}
	var half, full mat.Dense
	half.Mul(inverse, meat)
	full.Mul(&half, inverse)
	se = make([]float64, p)
	for j := range se {
		se[j] = math.Sqrt(tau * (1 - tau) * full.At(j, j))
	}
	return se, ""
}

// sheatherBand is Hall and Sheather's bandwidth at 95 %. Source: Hall P, Sheather SJ, J R Stat Soc B 1988;50:381-91, from
// memory.
func sheatherBand(tau, n float64) float64 {
	x := normalQuantile(tau)
	f := math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
	return math.Pow(n, -1.0/3) * math.Pow(normalQuantile(0.975), 2.0/3) * math.Pow(1.5*f*f/(2*x*x+1), 1.0/3)
}
