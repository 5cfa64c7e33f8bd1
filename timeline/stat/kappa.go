package stat

import "math"

// Kappa is Cohen's kappa: agreement beyond what the margins alone would give. Observed and Chance are proportions.
type Kappa struct {
	Estimate
	Observed float64 `json:"observed"`
	Chance   float64 `json:"chance"`
}

// CohensKappa takes units in category i by one reader and j by the other. When both used one and the same category only,
// kappa is undefined (Constant). SE and interval (cut at -1 and 1) are the large-sample ones; they mean something for
// independent units, not for milliseconds. Source: Cohen J, Educ Psychol Meas 1960;20:37-46; Fleiss JL, Cohen J, Everitt
// BS, Psychol Bull 1969;72:323-7, from memory; checked against psych 2.2.9.
func CohensKappa(table [][]int64, level float64) (Kappa, error) {
	if err := checkLevel(level); err != nil {
		return Kappa{}, err
	}
	observed, chance, rows, columns, n, err := agreementShares(table)
	if err != nil {
		return Kappa{}, err
	}
	k := Kappa{Observed: observed, Chance: chance}
	k.Value, k.N = (observed-chance)/(1-chance), int(n)
	// Fleiss, Cohen and Everitt's variance, with shares p_ij, row share r_i and column share c_j.
	var diagonal, off float64
	for i, row := range table {
		for j, count := range row {
			p := float64(count) / n
			if i == j {
				d := (1 - chance) - (columns[i]+rows[i])*(1-observed)
				diagonal += p * d * d
			} else {
				d := columns[i] + rows[j]
				off += p * d * d
			}
		}
	}
	last := observed*chance - 2*chance + observed
	variance := (diagonal + (1-observed)*(1-observed)*off - last*last) / (n * math.Pow(1-chance, 4))
	se := math.Sqrt(max(0, variance))
	k.SE = &se
	half := twoSidedZ(level) * se
	k.Interval = &Interval{max(-1, k.Value-half), min(1, k.Value+half), level}
	return k, nil
}

// agreementShares gives observed and chance agreement with row and column shares.
func agreementShares(table [][]int64) (observed, chance float64, rows, columns []float64, n float64, err error) {
	var total, agreed int64
	rowTotals, columnTotals := make([]int64, len(table)), make([]int64, len(table))
	for i, row := range table {
		if len(row) != len(table) {
			return 0, 0, nil, nil, 0, degenerate(Invalid, "The table must be square: the same categories for both readers.")
		}
		for j, count := range row {
			if count < 0 {
				return 0, 0, nil, nil, 0, degenerate(Invalid, "A count cannot be negative.")
			}
			total += count
			rowTotals[i] += count
			columnTotals[j] += count
		}
		agreed += row[i]
	}
	if total == 0 {
		return 0, 0, nil, nil, 0, degenerate(TooFew, "The readings have nothing in common to compare.")
	}
	n = float64(total)
	rows, columns = make([]float64, len(table)), make([]float64, len(table))
	for i := range table {
		if rowTotals[i] == total && columnTotals[i] == total {
			return 0, 0, nil, nil, 0, degenerate(Constant, "Both readings use one and the same label throughout: kappa is undefined.")
		}
		rows[i], columns[i] = float64(rowTotals[i])/n, float64(columnTotals[i])/n
		chance += rows[i] * columns[i]
	}
	return float64(agreed) / n, chance, rows, columns, n, nil
}

// kappaValue is kappa alone, nil where it is undefined.
func kappaValue(table [][]int64) *float64 {
	observed, chance, _, _, _, err := agreementShares(table)
	if err != nil {
		return nil
	}
	return pointTo((observed - chance) / (1 - chance))
}
