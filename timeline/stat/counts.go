package stat

import "math"

// ChiSquared tests rows against columns of a table of counts for independence. Corrected takes Yates' half off each
// deviation (never more than the deviation itself) and is for 2 x 2 tables only. Source: Pearson 1900, Yates 1934,
// textbook; the published counts in the test.
func ChiSquared(table [][]int, corrected bool) (Test, error) {
	rows, columns, total, err := margins(table)
	if err != nil {
		return Test{}, err
	}
	if corrected && (len(rows) != 2 || len(columns) != 2) {
		return Test{}, degenerate(Invalid, "The continuity correction is for tables of two rows and two columns.")
	}
	var half float64
	if corrected {
		// All four cells of a 2 x 2 table deviate equally.
		half = min(0.5, math.Abs(float64(table[0][0])-rows[0]*columns[0]/total))
	}
	x, sparse := 0.0, false
	for i, row := range table {
		for j, count := range row {
			expected := rows[i] * columns[j] / total
			d := math.Abs(float64(count)-expected) - half
			x += d * d / expected
			sparse = sparse || expected < 5
		}
	}
	df := float64((len(rows) - 1) * (len(columns) - 1))
	test := Test{Statistic: x, DF: df, P: chiSquaredUpper(x, df), N: int(total)}
	if sparse {
		test.Notes = append(test.Notes, "An expected count is under five: the p value is rough, an exact test is better.")
	}
	return test, nil
}

// Trend tests whether the proportion events/n rises or falls along the groups, scored 1, 2, 3, ... Source: Cochran 1954,
// Armitage 1955, textbook form with the pooled variance (as R's prop.trend.test); the published counts in the test.
func Trend(events, n []int) (Test, error) {
	if len(events) != len(n) || len(n) < 2 {
		return Test{}, degenerate(TooFew, "A trend needs events and cases of at least two groups.")
	}
	var k, total, meanScore float64
	for i := range n {
		if n[i] < 1 || events[i] < 0 || events[i] > n[i] {
			return Test{}, degenerate(Invalid, "Group %d has an impossible count: %d of %d.", i+1, events[i], n[i])
		}
		k, total = k+float64(events[i]), total+float64(n[i])
		meanScore += float64(n[i]) * float64(i+1)
	}
	p := k / total
	if p == 0 || p == 1 {
		return Test{}, degenerate(Constant, "All cases went the same way: there is no trend to test.")
	}
	meanScore /= total
	var covariance, spread float64
	for i := range n {
		d := float64(i+1) - meanScore
		covariance += d * float64(events[i])
		spread += d * d * float64(n[i])
	}
	x := covariance * covariance / (spread * p * (1 - p))
	return Test{Statistic: x, DF: 1, P: chiSquaredUpper(x, 1), N: int(total)}, nil
}

// margins gives row and column sums, none of them 0.
func margins(table [][]int) (rows, columns []float64, total float64, err error) {
	if len(table) < 2 || len(table[0]) < 2 {
		return nil, nil, 0, degenerate(TooFew, "A table needs two rows and two columns.")
	}
	rows, columns = make([]float64, len(table)), make([]float64, len(table[0]))
	for i, row := range table {
		if len(row) != len(columns) {
			return nil, nil, 0, degenerate(Invalid, "The rows of the table differ in length.")
		}
		for j, count := range row {
			if count < 0 {
				return nil, nil, 0, degenerate(Invalid, "A count cannot be negative.")
			}
			rows[i] += float64(count)
			columns[j] += float64(count)
			total += float64(count)
		}
	}
	for _, side := range [][]float64{rows, columns} {
		for _, s := range side {
			if s == 0 {
				return nil, nil, 0, degenerate(Constant, "A row or column of the table is empty.")
			}
		}
	}
	return rows, columns, total, nil
}
