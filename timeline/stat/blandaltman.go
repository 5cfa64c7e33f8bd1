package stat

import "math"

// limitFactor is the 1.96 that Bland and Altman use as such.
const limitFactor = 1.96

// LimitsOfAgreement is the bias a - b of two ways of measuring, and the limits between which about 95 % of the differences
// lie, in the unit of the input.
type LimitsOfAgreement struct {
	Bias  Estimate `json:"bias"`
	SD    float64  `json:"sd"`
	Lower Estimate `json:"lower"` // the lower limit; its SE is sd sqrt(3/n)
	Upper Estimate `json:"upper"`
	// LimitSE is the longer form, sd sqrt(1/n + 1.96^2 / (2 (n-1))).
	LimitSE float64 `json:"limitSe"`
}

// BlandAltman compares paired measurements. It supposes that difference and spread do not change with size; look at the
// plot. Source: Bland JM, Altman DG, Lancet 1986;i:307-10, and Stat Methods Med Res 1999;8:135-60, from memory; checked
// against R 4.2.2 arithmetic.
func BlandAltman(a, b []float64, level float64) (LimitsOfAgreement, error) {
	if err := checkPairs(a, b, level, 2); err != nil {
		return LimitsOfAgreement{}, err
	}
	d := make([]float64, len(a))
	for i := range a {
		d[i] = a[i] - b[i]
	}
	n := float64(len(d))
	bias, sd, sem, ci := meanInterval(d, level)
	l := LimitsOfAgreement{SD: *sd, Bias: Estimate{Value: bias, SE: sem, Interval: ci, N: len(d)}}
	se := *sd * math.Sqrt(3/n)
	half := twoSidedT(level, n-1) * se
	limit := func(value float64) Estimate {
		return Estimate{Value: value, SE: &se, Interval: about(value, half, level), N: len(d)}
	}
	l.Lower, l.Upper = limit(bias-limitFactor**sd), limit(bias+limitFactor**sd)
	l.LimitSE = *sd * math.Sqrt(1/n+limitFactor*limitFactor/(2*(n-1)))
	if len(d) < 30 {
		l.Bias.Notes = append(l.Bias.Notes, "Under 30 pairs the limits themselves are uncertain: read their intervals.")
	}
	return l, nil
}
