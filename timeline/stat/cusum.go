package stat

import "math"

// Weights is what one case adds to a CUSUM: the log likelihood ratio of its outcome.
type Weights struct {
	Success float64 `json:"success"`
	Failure float64 `json:"failure"`
}

// Of gives the weight of one outcome; failed is true for a complication.
func (w Weights) Of(failed bool) float64 {
	if failed {
		return w.Failure
	}
	return w.Success
}

// Chart is a CUSUM: Path[t] is the statistic after case t, before any restart; Signals are the cases (from 0) at which it
// reached the limit.
type Chart struct {
	Weights []float64 `json:"weights"`
	Path    []float64 `json:"path"`
	Signals []int     `json:"signals"`
	Limit   float64   `json:"limit"`
	N       int       `json:"n"`
}

// BernoulliWeights watch for the odds of failure having changed by the ratio from p0: above 1 for deterioration, below 1
// for improvement. Source: log likelihood ratio, textbook (the constant-risk case of Steiner 2000).
func BernoulliWeights(p0, oddsRatio float64) (Weights, error) {
	return RiskAdjustedWeights(p0, 1, oddsRatio)
}

// RiskAdjustedWeights test the odds ratio null against the alternative for a case whose expected risk is p. Source: Steiner
// SH, Cook RJ, Farewell VT, Treasure T, Biostatistics 2000;1:441-52: published weights (check values 44 to 48).
func RiskAdjustedWeights(p, null, alternative float64) (Weights, error) {
	if !(p > 0 && p < 1) {
		return Weights{}, degenerate(Invalid, "The expected risk of a case must lie between 0 and 1, not %g.", p)
	}
	if !(null > 0 && alternative > 0) || null == alternative || math.IsInf(null*alternative, 1) {
		return Weights{}, degenerate(Invalid, "The two odds ratios must be positive and differ.")
	}
	success := math.Log1p((null-1)*p) - math.Log1p((alternative-1)*p)
	return Weights{Success: success, Failure: success + math.Log(alternative/null)}, nil
}

// LearningWeights test "not yet competent" (failure rate inadequate) against "competent" (failure rate adequate); crossing
// the limit declares competence. Source: Biau DJ and others, BMC Med Res Methodol 2008 (formula found in public text,
// which prints min; the text wants max).
func LearningWeights(adequate, inadequate float64) (Weights, error) {
	if !(0 < adequate && adequate < inadequate && inadequate < 1) {
		return Weights{}, degenerate(Invalid, "The adequate failure rate must be above 0 and below the inadequate one, and that below 1.")
	}
	return Weights{
		Success: math.Log1p(-adequate) - math.Log1p(-inadequate),
		Failure: math.Log(adequate / inadequate),
	}, nil
}

// CUSUM runs the chart S = max(0, S + W) from 0 and signals at S >= limit; restart begins again from 0 after a signal.
func CUSUM(weights []float64, limit float64, restart bool) (Chart, error) {
	if !(limit > 0) {
		return Chart{}, degenerate(Invalid, "The limit must be above 0.")
	}
	if err := checkFinite("The weights", weights); err != nil {
		return Chart{}, err
	}
	c := Chart{Weights: weights, Path: make([]float64, len(weights)), Signals: []int{}, Limit: limit, N: len(weights)}
	var s float64
	for t, w := range weights {
		s = max(0, s+w)
		c.Path[t] = s
		if s >= limit {
			c.Signals = append(c.Signals, t)
			if restart {
				s = 0
			}
		}
	}
	return c, nil
}

// RiskAdjustedCUSUM is the chart over cases with expected risks; failed[t] says whether case t had the complication.
func RiskAdjustedCUSUM(risks []float64, failed []bool, null, alternative, limit float64, restart bool) (Chart, error) {
	if len(risks) != len(failed) {
		return Chart{}, degenerate(Invalid, "Risks and outcomes differ in length.")
	}
	weights := make([]float64, len(risks))
	for t, p := range risks {
		w, err := RiskAdjustedWeights(p, null, alternative)
		if err != nil {
			return Chart{}, err
		}
		weights[t] = w.Of(failed[t])
	}
	return CUSUM(weights, limit, restart)
}

// Sequence is the older form of the chart: a failure adds 1-S, a success takes S; H1 above, H0 below 0. Source: Williams
// SM, Parry BR, Schlup MM, BMJ 1992;304:1359-61, from memory; check values 51 and 52.
type Sequence struct {
	S  float64 `json:"s"`
	H1 float64 `json:"h1"`
	H0 float64 `json:"h0"`
}

// SequenceOf gives step and limits for the acceptable rate p0, the unacceptable p1 and the two error rates.
func SequenceOf(p0, p1, alpha, beta float64) (Sequence, error) {
	if !(0 < p0 && p0 < p1 && p1 < 1) || !(alpha > 0 && beta > 0 && alpha+beta < 1) {
		return Sequence{}, degenerate(Invalid, "Needed: 0 < acceptable rate < unacceptable rate < 1, and error rates above 0 that sum to less than 1.")
	}
	p, q := math.Log(p1/p0), math.Log((1-p0)/(1-p1))
	return Sequence{
		S:  q / (p + q),
		H1: math.Log((1-beta)/alpha) / (p + q),
		H0: -math.Log((1-alpha)/beta) / (p + q),
	}, nil
}
