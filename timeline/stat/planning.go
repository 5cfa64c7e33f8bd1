package stat

// SmallestDetectable is the smallest size of a coefficient that a test at the level (0.95 for 5 %) would have found with the
// power, given its standard error; on the scale of the coefficient. df is that of Student's t; 0 takes the normal
// distribution. It describes the data, not the result. Source: Bloom HS, Eval Rev 1995;19:547-56 (sum of the two quantiles),
// from memory; checked by simulation.
func SmallestDetectable(se, df, level, power float64) (float64, error) {
	if err := checkLevel(level); err != nil {
		return 0, err
	}
	if !(power > 0.5 && power < 1) || !(se > 0) || df < 0 {
		return 0, degenerate(Invalid, "Needed: a standard error above 0 and a power between 0.5 and 1.")
	}
	// The quantile of the power leaves 1 - power on one side, so 2 (1 - power) on both.
	if df > 0 {
		return se * (twoSidedT(level, df) + twoSidedT(2*power-1, df)), nil
	}
	return se * (twoSidedZ(level) + normalQuantile(power)), nil
}
