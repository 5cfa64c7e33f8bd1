package stat

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// normalQuantile is the p quantile of the standard normal distribution.
func normalQuantile(p float64) float64 { return distuv.UnitNormal.Quantile(p) }

// normalTwoSided is P(|Z| >= |z|), exact in the far tail too.
func normalTwoSided(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }

// twoSidedZ is the normal quantile that leaves (1-level)/2 on each side.
func twoSidedZ(level float64) float64 { return -normalQuantile((1 - level) / 2) }

// studentTwoSided is P(|T| >= |t|) of Student's distribution.
func studentTwoSided(t, df float64) float64 {
	if math.IsInf(t, 0) {
		return 0
	}
	return mathext.RegIncBeta(df/2, 0.5, df/(df+t*t))
}

// twoSidedT is Student's quantile that leaves (1-level)/2 on each side.
func twoSidedT(level, df float64) float64 {
	tail := 1 - level
	x := betaQuantile(df/2, 0.5, tail)
	// Where x is close to 1, the difference 1-x is the quantile of the mirrored distribution.
	rest := 1 - x
	if x > 0.5 {
		rest = betaQuantile(0.5, df/2, level)
		x = 1 - rest
	}
	return math.Sqrt(df * rest / x)
}

// fisherUpper is P(F >= f).
func fisherUpper(f, df1, df2 float64) float64 {
	if f <= 0 {
		return 1
	}
	if math.IsInf(f, 1) {
		return 0
	}
	return mathext.RegIncBeta(df2/2, df1/2, df2/(df2+df1*f))
}

// fisherQuantile is the p quantile of the F distribution.
func fisherQuantile(p, df1, df2 float64) float64 {
	x := betaQuantile(df1/2, df2/2, p)
	rest := betaQuantile(df2/2, df1/2, 1-p)
	return df2 * x / (df1 * rest)
}

// chiSquaredUpper is P(X >= x).
func chiSquaredUpper(x, df float64) float64 {
	if x <= 0 {
		return 1
	}
	return mathext.GammaIncRegComp(df/2, x/2)
}

// betaQuantile is the p quantile of the Beta(a, b) distribution, polished because the library's inverse stops early.
func betaQuantile(a, b, p float64) float64 {
	logScale := lnBeta(a, b)
	return polish(mathext.InvRegIncBeta(a, b, p), p,
		func(x float64) float64 { return mathext.RegIncBeta(a, b, x) },
		func(x float64) float64 { return math.Exp((a-1)*math.Log(x) + (b-1)*math.Log1p(-x) - logScale) },
		1)
}

// gammaQuantile is the p quantile of the Gamma(a, 1) distribution, polished likewise.
func gammaQuantile(a, p float64) float64 {
	logScale, _ := math.Lgamma(a)
	return polish(mathext.GammaIncRegInv(a, p), p,
		func(x float64) float64 { return mathext.GammaIncReg(a, x) },
		func(x float64) float64 { return math.Exp((a-1)*math.Log(x) - x - logScale) },
		math.Inf(1))
}

// polish takes Newton steps from x towards cdf(x) = p and stays in (0, upper).
func polish(x, p float64, cdf, density func(float64) float64, upper float64) float64 {
	for range 4 {
		slope := density(x)
		if !(slope > 0) || math.IsInf(slope, 1) {
			return x
		}
		next := x - (cdf(x)-p)/slope
		if !(next > 0 && next < upper) {
			return x
		}
		if math.Abs(next-x) <= 1e-15*x {
			return next
		}
		x = next
	}
	return x
}

func lnBeta(a, b float64) float64 {
	la, _ := math.Lgamma(a)
	lb, _ := math.Lgamma(b)
	lab, _ := math.Lgamma(a + b)
	return la + lb - lab
}
