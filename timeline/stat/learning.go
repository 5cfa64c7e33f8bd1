package stat

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// LogCurve is the straight line of log duration on log case number. LearningRate is the factor per doubling of cases: 0.88
// means that each doubling takes 12 % off.
type LogCurve struct {
	Model        *LinearModel `json:"model"`
	A            float64      `json:"a"` // the duration at the first case, on the curve
	LearningRate Estimate     `json:"learningRate"`
}

// LearningCurve fits ln y = intercept + slope ln n for case numbers n from 1 and durations y, both above 0. Source: Wright
// TP, J Aeronaut Sci 1936;3:122-8, from memory; checked against R lm.
func LearningCurve(n, y []float64, level float64) (*LogCurve, error) {
	logN, err := logsOf("The case numbers", n)
	if err != nil {
		return nil, err
	}
	logY, err := logsOf("The durations", y)
	if err != nil {
		return nil, err
	}
	d := NewDesign(len(n))
	if err := d.Add("ln case number", logN); err != nil {
		return nil, err
	}
	m, err := LeastSquares(d, logY, nil, level)
	if err != nil {
		return nil, err
	}
	slope := m.Coefficients[1]
	rate := math.Exp2(slope.Estimate)
	return &LogCurve{Model: m, A: math.Exp(m.Coefficients[0].Estimate), LearningRate: Estimate{
		Value: rate, SE: pointTo(rate * math.Ln2 * slope.SE), N: m.N,
		Interval: &Interval{math.Exp2(slope.Interval.Lower), math.Exp2(slope.Interval.Upper), level},
	}}, nil
}

// At gives the curve at case number n in the unit of the durations, with the intervals of the median there and of one
// new case.
func (c *LogCurve) At(n float64) (Prediction, error) {
	if !(n > 0) {
		return Prediction{}, degenerate(Invalid, "Case numbers are above 0.")
	}
	p, err := c.Model.Predict([]float64{1, math.Log(n)}, 1)
	if err != nil {
		return Prediction{}, err
	}
	back := func(i Interval) Interval { return Interval{math.Exp(i.Lower), math.Exp(i.Upper), i.Level} }
	return Prediction{Value: math.Exp(p.Value), Mean: back(p.Mean), New: back(p.New)}, nil
}

func logsOf(name string, values []float64) ([]float64, error) {
	logs := make([]float64, len(values))
	for i, v := range values {
		if !(v > 0) || math.IsInf(v, 1) {
			return nil, degenerate(Invalid, "%s must be above 0 (position %d).", name, i+1)
		}
		logs[i] = math.Log(v)
	}
	return logs, nil
}

// PowerCurve is y = A n^-B + C: C is the floor that practice approaches, nil when it is held at 0.
type PowerCurve struct {
	A          Estimate  `json:"a"`
	B          Estimate  `json:"b"`
	C          *Estimate `json:"c"`
	ResidualSD float64   `json:"residualSd"`
	SSE        float64   `json:"sse"`
	DF         int       `json:"df"`
	N          int       `json:"n"`
	Notes      []string  `json:"notes,omitempty"`

	level float64
	fit   orthogonal // of the gradient at the estimate
}

// PowerLaw fits the curve by unweighted least squares, with the floor or without. The others being linear, the
// exponent alone is sought: on a grid, then as root of the slope. Standard errors are those of the straightened curve.
// Source: textbook nonlinear least squares; checked against R nls and NIST StRD DanWood.
func PowerLaw(n, y []float64, floor bool, level float64) (*PowerCurve, error) {
	if err := checkPairs(n, y, level, 1); err != nil {
		return nil, err
	}
	logN, err := logsOf("The case numbers", n)
	if err != nil {
		return nil, err
	}
	parameters := 2
	if floor {
		parameters = 3
	}
	if len(n) <= parameters {
		return nil, degenerate(TooFew, "%d cases cannot carry a curve of %d parameters.", len(n), parameters)
	}
	f := powerFit{logN: logN, y: y, floor: floor}
	start, err := f.start()
	if err != nil {
		return nil, err
	}
	values, gradient, residuals, err := f.refine(start)
	if err != nil {
		return nil, err
	}
	c := &PowerCurve{N: len(n), DF: len(n) - parameters, level: level, fit: gradient}
	c.SSE = floats.Dot(residuals, residuals)
	c.ResidualSD = math.Sqrt(c.SSE / float64(c.DF))
	c.fill(values)
	return c, nil
}

func (c *PowerCurve) fill(values []float64) {
	p := len(values)
	variance := make([][]float64, p)
	for j := range variance {
		variance[j] = make([]float64, p)
		variance[j][j] = c.ResidualSD * c.ResidualSD
	}
	se := c.fit.spread(variance)
	t := twoSidedT(c.level, float64(c.DF))
	estimate := func(j int) Estimate {
		return Estimate{Value: values[j], SE: &se[j], Interval: about(values[j], t*se[j], c.level), N: c.N}
	}
	c.A, c.B = estimate(0), estimate(1)
	if p == 3 {
		c.C = pointTo(estimate(2))
		if c.C.Value < 0 {
			c.Notes = append(c.Notes, "The floor lies below 0: these cases show no plateau yet.")
		}
	}
	if c.A.Value*c.B.Value < 0 {
		c.Notes = append(c.Notes, "The curve rises: durations grow with experience.")
	}
}

// At gives the curve at case number n with the intervals of the mean there and of one new case (delta method).
func (c *PowerCurve) At(n float64) (Prediction, error) {
	if !(n > 0) {
		return Prediction{}, degenerate(Invalid, "Case numbers are above 0.")
	}
	power := math.Pow(n, -c.B.Value)
	value, gradient := c.A.Value*power, []float64{power, -c.A.Value * math.Log(n) * power}
	if c.C != nil {
		value, gradient = value+c.C.Value, append(gradient, 1)
	}
	z := c.fit.forward(gradient)
	at := floats.Dot(z, z)
	t := twoSidedT(c.level, float64(c.DF)) * c.ResidualSD
	return Prediction{Value: value, Mean: *about(value, t*math.Sqrt(at), c.level), New: *about(value, t*math.Sqrt(1+at), c.level)}, nil
}
