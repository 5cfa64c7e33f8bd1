package stat

import "math"

// FisherResult is the exact test of a 2 x 2 table. OddsRatio is the conditional maximum-likelihood estimate; it is nil
// when a cell on either diagonal is empty, and a bound that does not exist is 0 or nil.
type FisherResult struct {
	P         float64  `json:"p"`
	OddsRatio *float64 `json:"oddsRatio"`
	Lower     float64  `json:"lower"`
	Upper     *float64 `json:"upper"`
	Level     float64  `json:"level"`
	N         int      `json:"n"`
	Notes     []string `json:"notes,omitempty"`
}

// Fisher tests k1 of n1 against k2 of n2 with all margins fixed. The two-sided p adds all tables that are at most as
// likely as the one seen. The interval inverts two one-sided tests, so it can disagree with p at the edge. Source: Fisher
// 1935, Cornfield 1956, textbook; the published counts in the test, which are R's fisher.test.
func Fisher(k1, n1, k2, n2 int, level float64) (FisherResult, error) {
	if err := checkCount(k1, n1, level); err != nil {
		return FisherResult{}, err
	}
	if err := checkCount(k2, n2, level); err != nil {
		return FisherResult{}, err
	}
	events := k1 + k2
	if events == 0 || events == n1+n2 {
		return FisherResult{}, degenerate(Constant, "All cases went the same way: there is nothing to compare.")
	}
	tables := newTableFamily(n1, n2, events)
	central := tables.probabilities(0)
	result := FisherResult{Level: level, N: n1 + n2}
	seen := k1 - tables.low
	// Tables within rounding of the one seen count as equally likely.
	limit := central[seen] * (1 + 1e-7)
	for _, p := range central {
		if p <= limit {
			result.P += p
		}
	}
	result.P = min(result.P, 1)
	last := len(central) - 1
	if seen > 0 && seen < last {
		result.OddsRatio = pointTo(math.Exp(tables.solve(func(p []float64) float64 { return tables.mean(p) - float64(k1) })))
	} else {
		result.Notes = append(result.Notes, "A cell is empty: the odds ratio has no finite estimate above 0; only one bound exists.")
	}
	tail := (1 - level) / 2
	if seen > 0 {
		result.Lower = math.Exp(tables.solve(func(p []float64) float64 { return sum(p[seen:]) - tail }))
	}
	if seen < last {
		result.Upper = pointTo(math.Exp(tables.solve(func(p []float64) float64 { return tail - sum(p[:seen+1]) })))
	}
	return result, nil
}

// tableFamily is the noncentral hypergeometric distribution of the events in the first group.
type tableFamily struct {
	low      int
	logCount []float64 // log of the number of tables, up to a constant
}

func newTableFamily(n1, n2, events int) tableFamily {
	low, high := max(0, events-n2), min(n1, events)
	f := tableFamily{low: low, logCount: make([]float64, high-low+1)}
	for i := 1; i < len(f.logCount); i++ {
		k := float64(low + i)
		ratio := (float64(n1) - k + 1) * (float64(events) - k + 1) / (k * (float64(n2) - float64(events) + k))
		f.logCount[i] = f.logCount[i-1] + math.Log(ratio)
	}
	return f
}

func (f tableFamily) probabilities(logOdds float64) []float64 {
	p := make([]float64, len(f.logCount))
	top := math.Inf(-1)
	for i, c := range f.logCount {
		p[i] = c + float64(i)*logOdds
		top = max(top, p[i])
	}
	for i := range p {
		p[i] = math.Exp(p[i] - top)
	}
	total := sum(p)
	for i := range p {
		p[i] /= total
	}
	return p
}

func (f tableFamily) mean(p []float64) float64 {
	var m float64
	for i, v := range p {
		m += float64(f.low+i) * v
	}
	return m
}

// solve finds the log odds ratio at which an increasing function of the distribution is 0.
func (f tableFamily) solve(g func([]float64) float64) float64 {
	return bisect(func(x float64) float64 { return g(f.probabilities(x)) }, -700, 700)
}

// bisect finds where an increasing function crosses 0 between low and high, to the last digit.
func bisect(g func(float64) float64, low, high float64) float64 {
	for range 200 {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			break
		}
		if g(middle) < 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}
