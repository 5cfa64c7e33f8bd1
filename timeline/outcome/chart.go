package outcome

import (
	"math"
	"slices"

	"zonule/timeline/stat"
)

// logisticChart draws the cases and the chance along the exposure, the factors at their mean.
func (t *table) logisticChart(f oddsFit, k int, rel *Relation) {
	rel.Chart = t.points(k)
	row := t.atMean()
	for _, x := range t.places(k) {
		row[1] = x
		at, err := f.model.Predict(row)
		if err != nil {
			return
		}
		band := *at.Interval
		if f.respected() {
			if odds, known := f.clustered.Mean(row); known {
				band.Lower, band.Upper = chance(odds.Lower), chance(odds.Upper)
			}
		}
		rel.Chart.Line = append(rel.Chart.Line, LinePoint{X: t.definition.Exposures[k].unscaled(x), Y: 100 * at.Value, Low: 100 * band.Lower, High: 100 * band.Upper})
	}
}

// chance is that of log odds.
func chance(odds float64) float64 { return 1 / (1 + math.Exp(-odds)) }

// linearChart draws the cases, the line along the exposure with the factors at their mean, and the added-variable plot.
func (t *table) linearChart(f linearFit, d *stat.Design, k int, rel *Relation) {
	rel.Chart = t.points(k)
	e, o := t.definition.Exposures[k], t.definition.Outcome
	row := t.atMean()
	for _, x := range t.places(k) {
		row[1] = x
		at, err := f.model.Predict(row, 1)
		if err != nil {
			return
		}
		band := f.meanAt(row, at.Mean)
		rel.Chart.Line = append(rel.Chart.Line, LinePoint{X: e.unscaled(x), Y: o.shown(at.Value), Low: finite(o.shown(band.Lower)), High: finite(o.shown(band.Upper))})
	}
	x, y, err := stat.AddedVariable(d, t.y, f.weights, 1)
	if err != nil {
		return
	}
	scale := 1.0
	if o.Kind == Loss {
		scale = 100 // of a logarithm: close to percent
	}
	for _, i := range t.drawn(k) {
		rel.Chart.Added = append(rel.Chart.Added, ChartPoint{CaseID: t.rows[i].CaseID, X: x[i], Y: scale * y[i]})
	}
}

// mostDrawn is the number of points above which they are thinned, linePoints the places of a line.
const mostDrawn, linePoints = 1500, 41

// drawn gives the cases that are drawn: all, or evenly spaced ones in the order of the exposure with both ends.
func (t *table) drawn(k int) []int {
	order := make([]int, len(t.rows))
	for i := range order {
		order[i] = i
	}
	if len(order) <= mostDrawn {
		return order
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch x, y := t.x[k][a], t.x[k][b]; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	some := make([]int, mostDrawn)
	for i := range some {
		some[i] = order[i*(len(order)-1)/(mostDrawn-1)]
	}
	return some
}

func (t *table) points(k int) *Chart {
	c := &Chart{Points: []ChartPoint{}, Line: []LinePoint{}, Smooth: []Place{}, Added: []ChartPoint{}, Thinned: len(t.rows) > mostDrawn}
	e, o := t.definition.Exposures[k], t.definition.Outcome
	for _, i := range t.drawn(k) {
		p := ChartPoint{CaseID: t.rows[i].CaseID, X: e.unscaled(t.x[k][i]), Y: o.shown(t.y[i])}
		if t.variances != nil && !math.IsNaN(t.variances[i]) {
			se := 100 * math.Sqrt(t.variances[i]) * math.Exp(-t.y[i])
			p.Error = &se
		}
		c.Points = append(c.Points, p)
	}
	c.Smooth = smoothed(c.Points)
	return c
}

// The share of the points that each place of the smoothed curve looks at, and how often it looks again. Source: common
// practice (Cleveland's two thirds, three passes).
const smoothShare, smoothPasses = 2.0 / 3, 3

// smoothed is the curve through the points at up to linePoints places.
func smoothed(points []ChartPoint) []Place {
	x, y := make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		x[i], y[i] = p.X, p.Y
	}
	smooth, err := stat.LOWESS(x, y, smoothShare, smoothPasses)
	if err != nil {
		return []Place{}
	}
	places := make([]Place, 0, linePoints)
	for i := range linePoints {
		at := i * (len(smooth.X) - 1) / (linePoints - 1)
		place := Place{smooth.X[at], smooth.Fitted[at]}
		if len(places) == 0 || places[len(places)-1].X < place.X {
			places = append(places, place)
		}
	}
	return places
}

// places are the values of an exposure, scaled, at which its line is drawn.
func (t *table) places(k int) []float64 {
	low, high := slices.Min(t.x[k]), slices.Max(t.x[k])
	at := make([]float64, linePoints)
	for i := range at {
		at[i] = low + (high-low)*float64(i)/(linePoints-1)
	}
	return at
}

// atMean is a row of terms with one exposure, at 0, and all factors at their mean.
func (t *table) atMean() []float64 {
	row := []float64{1, 0}
	for _, c := range t.terms {
		row = append(row, spreadOf(c.values).Mean)
	}
	return row
}
