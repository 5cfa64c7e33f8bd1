package stat

import "math"

// ICC is one form of the intraclass correlation with its F test.
type ICC struct {
	Estimate
	F   float64 `json:"f"`
	DF1 float64 `json:"df1"`
	DF2 float64 `json:"df2"`
	P   float64 `json:"p"`
}

// ICCs are the six forms: one rating or the mean of k; raters nested in subjects (1), random (2) or fixed (3).
type ICCs struct {
	OneWay     ICC `json:"oneWay"`
	Random     ICC `json:"random"`
	Fixed      ICC `json:"fixed"`
	OneWayMean ICC `json:"oneWayMean"`
	RandomMean ICC `json:"randomMean"`
	FixedMean  ICC `json:"fixedMean"`
}

// IntraclassCorrelation takes ratings[subject][rater]. Source: Shrout PE, Fleiss JL, Psychol Bull 1979;86:420-8, from
// memory; checked against psych 2.2.9, and against the published two digits of their table.
func IntraclassCorrelation(ratings [][]float64, level float64) (ICCs, error) {
	if err := checkLevel(level); err != nil {
		return ICCs{}, err
	}
	ms, err := meanSquaresOf(ratings)
	if err != nil {
		return ICCs{}, err
	}
	n, k := float64(len(ratings)), float64(len(ratings[0]))
	dfSubjects, dfWithin, dfError := n-1, n*(k-1), (n-1)*(k-1)
	form := func(value, f, df2, lower, upper float64) ICC {
		return ICC{
			Estimate: Estimate{Value: value, Interval: &Interval{lower, upper, level}, N: len(ratings)},
			F:        f, DF1: dfSubjects, DF2: df2, P: fisherUpper(f, dfSubjects, df2),
		}
	}
	tail := (1 - level) / 2
	bounds := func(f, df2 float64) (low, high float64) {
		return f / fisherQuantile(1-tail, dfSubjects, df2), f * fisherQuantile(1-tail, df2, dfSubjects)
	}
	single := func(f float64) float64 { return (f - 1) / (f + k - 1) }
	average := func(f float64) float64 { return 1 - 1/f }

	var r ICCs
	f1 := ms.subjects / ms.within
	low, high := bounds(f1, dfWithin)
	r.OneWay = form(single(f1), f1, dfWithin, single(low), single(high))
	r.OneWayMean = form(average(f1), f1, dfWithin, average(low), average(high))

	f3 := ms.subjects / ms.error
	low, high = bounds(f3, dfError)
	r.Fixed = form(single(f3), f3, dfError, single(low), single(high))
	r.FixedMean = form(average(f3), f3, dfError, average(low), average(high))

	icc2 := (ms.subjects - ms.error) / (ms.subjects + (k-1)*ms.error + k*(ms.raters-ms.error)/n)
	fRaters := ms.raters / ms.error
	// Satterthwaite's degrees of freedom.
	part := n*(1+(k-1)*icc2) - k*icc2
	v := dfError * math.Pow(k*icc2*fRaters+part, 2) / (dfSubjects*k*k*icc2*icc2*fRaters*fRaters + part*part)
	upper, lower := fisherQuantile(1-tail, dfSubjects, v), fisherQuantile(1-tail, v, dfSubjects)
	spread := k*ms.raters + (k*n-k-n)*ms.error
	low2 := n * (ms.subjects - upper*ms.error) / (upper*spread + n*ms.subjects)
	high2 := n * (lower*ms.subjects - ms.error) / (spread + n*lower*ms.subjects)
	mean := func(single float64) float64 { return k * single / (1 + (k-1)*single) }
	r.Random = form(icc2, f3, dfError, low2, high2)
	value := (ms.subjects - ms.error) / (ms.subjects + (ms.raters-ms.error)/n)
	r.RandomMean = form(value, f3, dfError, mean(low2), mean(high2))
	return r, nil
}

type meanSquares struct{ subjects, raters, within, error float64 }

func meanSquaresOf(ratings [][]float64) (meanSquares, error) {
	if len(ratings) < 2 || len(ratings[0]) < 2 {
		return meanSquares{}, degenerate(TooFew, "Two subjects and two raters are needed.")
	}
	n, k := float64(len(ratings)), float64(len(ratings[0]))
	raterMeans := make([]float64, len(ratings[0]))
	subjectMeans := make([]float64, len(ratings))
	for i, row := range ratings {
		if len(row) != len(raterMeans) {
			return meanSquares{}, degenerate(Invalid, "A subject lacks a rating.")
		}
		if err := checkFinite("The ratings", row); err != nil {
			return meanSquares{}, err
		}
		subjectMeans[i] = sum(row) / k
		for j, v := range row {
			raterMeans[j] += v / n
		}
	}
	grand, subjects := momentsOf(subjectMeans)
	_, raters := momentsOf(raterMeans)
	var within, rest float64
	for i, row := range ratings {
		for j, v := range row {
			d, e := v-subjectMeans[i], v-subjectMeans[i]-raterMeans[j]+grand
			within, rest = within+d*d, rest+e*e
		}
	}
	if subjects == 0 || rest == 0 {
		return meanSquares{}, degenerate(Constant, "The ratings do not vary between subjects, or not within them: no ratio of the two exists.")
	}
	return meanSquares{k * subjects / (n - 1), n * raters / (k - 1), within / (n * (k - 1)), rest / ((n - 1) * (k - 1))}, nil
}
