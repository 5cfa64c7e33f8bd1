package stat

import "math"

// Wilson gives k of n as a proportion with Wilson's score interval. Source: Wilson EB, J Am Stat Assoc 1927;22:209-12,
// from memory; checked against R 4.2.2 prop.test(correct = FALSE).
func Wilson(k, n int, level float64) (Estimate, error) {
	if err := checkCount(k, n, level); err != nil {
		return Estimate{}, err
	}
	z := twoSidedZ(level)
	size, p := float64(n), float64(k)/float64(n)
	centre := (p + z*z/(2*size)) / (1 + z*z/size)
	half := z * math.Sqrt(p*(1-p)/size+z*z/(4*size*size)) / (1 + z*z/size)
	ci := about(centre, half, level)
	return proportion(k, n, ci), nil
}

// ClopperPearson gives k of n as a proportion with the exact interval, each tail at most (1-level)/2. At k = 0 the upper
// bound at level 0.90 is the one-sided 95 % bound. Source: Clopper CJ, Pearson ES, Biometrika 1934;26:404-13, from
// memory; checked against R 4.2.2 binom.test.
func ClopperPearson(k, n int, level float64) (Estimate, error) {
	if err := checkCount(k, n, level); err != nil {
		return Estimate{}, err
	}
	tail := (1 - level) / 2
	ci := &Interval{Lower: 0, Upper: 1, Level: level}
	if k > 0 {
		ci.Lower = betaQuantile(float64(k), float64(n-k+1), tail)
	}
	if k < n {
		ci.Upper = 1 - betaQuantile(float64(n-k), float64(k+1), tail)
	}
	return proportion(k, n, ci), nil
}

func proportion(k, n int, ci *Interval) Estimate {
	if k == 0 {
		ci.Lower = 0
	}
	if k == n {
		ci.Upper = 1
	}
	p := float64(k) / float64(n)
	e := Estimate{Value: p, Interval: ci, N: n, SE: pointTo(math.Sqrt(p * (1 - p) / float64(n)))}
	if k == 0 || k == n {
		e.SE = nil
		e.Notes = append(e.Notes, "All cases went the same way: the standard error says nothing, the interval does.")
	}
	return e
}

func checkCount(k, n int, level float64) error {
	if err := checkLevel(level); err != nil {
		return err
	}
	if n < 1 {
		return degenerate(TooFew, "There are no cases.")
	}
	if k < 0 || k > n {
		return degenerate(Invalid, "The count %d does not lie between 0 and %d.", k, n)
	}
	return nil
}

// PoissonRate gives count / exposure with the exact interval, each tail at most (1-level)/2. Exposure is in any unit
// (hours, cases); the rate is per one of it. Source: Garwood F, Biometrika 1936;28:437-42, from memory; checked against
// R 4.2.2 poisson.test.
func PoissonRate(count int, exposure, level float64) (Estimate, error) {
	if err := checkLevel(level); err != nil {
		return Estimate{}, err
	}
	if count < 0 || !(exposure > 0) || math.IsInf(exposure, 1) {
		return Estimate{}, degenerate(Invalid, "A rate needs a count of 0 or more and an exposure above 0.")
	}
	tail := (1 - level) / 2
	ci := &Interval{Upper: gammaQuantile(float64(count+1), 1-tail) / exposure, Level: level}
	e := Estimate{Value: float64(count) / exposure, Interval: ci, N: count}
	if count == 0 {
		e.Notes = append(e.Notes, "Nothing was seen: the standard error says nothing, the upper bound does.")
		return e, nil
	}
	ci.Lower = gammaQuantile(float64(count), tail) / exposure
	e.SE = pointTo(math.Sqrt(float64(count)) / exposure)
	return e, nil
}
