package outcome

import "zonule/timeline/cohort"

// Result is the answer of a study. Where nothing is modelled, Why says what is missing and the figures are empty.
type Result struct {
	Definition Definition `json:"definition"`
	Outcome    Measure    `json:"outcome"`
	// Population is the number of cases that the definition chooses, N those with everything known, which are modelled.
	Population int `json:"population"`
	N          int `json:"n"`
	Operators  int `json:"operators"`
	Events     int `json:"events"` // of a complication; 0 for other outcomes
	// Summary describes the outcome in the cases modelled; for a complication Mean is its share.
	Summary *Spread `json:"summary"`
	// FellOut counts the cases of the population that could not be used, by the first reason.
	FellOut     []cohort.LeftOut `json:"fellOut"`
	Differences []Difference     `json:"differences"`
	AdjustedFor []Adjustment     `json:"adjustedFor"`
	NotAdjusted []Adjustment     `json:"notAdjusted"`
	Relations   []Relation       `json:"relations"` // one for an exposure, in the order of the definition
	Collinear   []string         `json:"collinear"`
	// CountingError is nil for outcomes without one.
	CountingError *CountingError `json:"countingError"`
	Why           string         `json:"why"`
	// Withheld: too few people led the cases for anything to be told; Why says so.
	Withheld  bool            `json:"-"`
	Answer    []string        `json:"answer"`    // in sentences
	CannotSay []string        `json:"cannotSay"` // in sentences
	Notes     []string        `json:"notes"`
	Methods   []cohort.Method `json:"methods"`
}

// Measure names a quantity.
type Measure struct {
	Code string `json:"code"`
	Name string `json:"name"`
	Unit string `json:"unit"` // "" for none
}

// Spread describes values.
type Spread struct {
	N      int     `json:"n"`
	Mean   float64 `json:"mean"`
	SD     float64 `json:"sd"`
	Median float64 `json:"median"`
	Q1     float64 `json:"q1"`
	Q3     float64 `json:"q3"`
}

// Difference compares those who were modelled with those who fell out, as far as the quantity is known.
type Difference struct {
	Measure
	Kept Spread `json:"kept"`
	Fell Spread `json:"fell"`
	// Standardised is the difference of the means (kept minus fell) in pooled standard deviations; nil when nothing varies.
	Standardised *float64 `json:"standardised"`
}

// Adjustment is a factor with the reason for which it is in the model, or is not.
type Adjustment struct {
	Code   string `json:"code"`
	Name   string `json:"name"`
	Reason string `json:"reason"`
}

// Relation is how one exposure goes with the outcome.
type Relation struct {
	Exposure Exposure `json:"exposure"`
	Measure
	Per     string `json:"per"` // "minute", "doubling", "10 ml", "event", ...
	Summary Spread `json:"summary"`
	// Unadjusted stands alone, Adjusted beside the factors of the eye, Together beside those and all other exposures (nil
	// with one exposure, or when they cannot be told apart).
	Unadjusted *Size `json:"unadjusted"`
	Adjusted   *Size `json:"adjusted"`
	Together   *Size `json:"together"`
	// Why says what is missing where Adjusted is nil.
	Why string `json:"why"`
	// Holm and BenjaminiHochberg are the p value of Adjusted, adjusted for the number of exposures of this study.
	Holm              *float64      `json:"holm"`
	BenjaminiHochberg *float64      `json:"benjaminiHochberg"`
	Rank              *Rank         `json:"rank"`
	Sensitivity       []Sensitivity `json:"sensitivity"`
	// Driving are the cases that carry the relation most; Checks say in words what residuals and influence show.
	Driving []Driver `json:"driving"`
	Checks  []string `json:"checks"`
	// SmallestSeen is the smallest relation, as Adjusted is measured, that these data would have shown in four studies of five.
	SmallestSeen *float64 `json:"smallestSeen"`
	Chart        *Chart   `json:"chart"`
	Text         string   `json:"text"`
}

// Size is the size of a relation. For complications it is an odds ratio (1 is none), for a loss the percent fewer cells
// left, else in the unit of the outcome (0 is none).
type Size struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"` // of the 95 % interval; for an odds ratio nothing below 0 exists
	// High is the largest number there is where an odds ratio has no upper bound.
	High float64 `json:"high"`
	// P is nil for the robust line.
	P *float64 `json:"p"`
	N int      `json:"n"`
	// Interval says what the interval rests on: "clustered", "hc3", "classical", "profile, clustered", "profile" or "rank".
	Interval string `json:"interval"`
	// OtherLow and OtherHigh are the interval that takes all cases for independent, beside one that respects operators.
	OtherLow  *float64 `json:"otherLow"`
	OtherHigh *float64 `json:"otherHigh"`
	// EventsPerParameter is for complications.
	EventsPerParameter *float64 `json:"eventsPerParameter"`
}

// Rank is Spearman's correlation of exposure and outcome, unadjusted.
type Rank struct {
	Rho  float64  `json:"rho"`
	Low  *float64 `json:"low"`
	High *float64 `json:"high"`
	P    float64  `json:"p"`
}

// Sensitivity is the adjusted relation found in another way or in a part of the cases.
type Sensitivity struct {
	Name string `json:"name"`
	Size *Size  `json:"size"`
	Why  string `json:"why"` // when Size is nil
}

// Driver is a case that carries a relation.
type Driver struct {
	CaseID string `json:"caseId"` // "" where the viewer may not see it
	// Share is by how much the adjusted coefficient would fall without this case, in percent of itself.
	Share float64 `json:"share"`
}

// Chart is a relation to be drawn. Points are thinned evenly over the exposure above 1,500.
type Chart struct {
	Points []ChartPoint `json:"points"`
	// Line is the fitted line with its 95 % band, the factors of the eye at their mean; for a complication the chance in percent.
	Line []LinePoint `json:"line"`
	// Smooth is a smoothed curve through the points drawn (LOWESS), for the eye: it has no test and no interval.
	Smooth []Place `json:"smooth"`
	// Added are the points of the added-variable plot: what is left of exposure and outcome after the factors of the eye.
	Added   []ChartPoint `json:"added"`
	Thinned bool         `json:"thinned"`
}

// ChartPoint is one case.
type ChartPoint struct {
	CaseID string  `json:"caseId"`
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	// Error is the standard error of Y from counting, nil when there is none or it is not known.
	Error *float64 `json:"error,omitempty"`
}

// Place is one place of a curve.
type Place struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// LinePoint is one place of a fitted line.
type LinePoint struct {
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// CountingError tells how much of the spread of a loss is the error of counting.
type CountingError struct {
	Known   int     `json:"known"`   // cases whose error is known
	Assumed float64 `json:"assumed"` // standard error taken for the others, percent
	Share   float64 `json:"share"`   // of the residual variance, percent
	Text    string  `json:"text"`
}

// Hide blanks the ids of cases that the viewer may not see.
func (r *Result) Hide(maySee func(caseID string) bool) {
	blank := func(id *string) {
		if !maySee(*id) {
			*id = ""
		}
	}
	for i := range r.Relations {
		rel := &r.Relations[i]
		for j := range rel.Driving {
			blank(&rel.Driving[j].CaseID)
		}
		if rel.Chart == nil {
			continue
		}
		for _, points := range [][]ChartPoint{rel.Chart.Points, rel.Chart.Added} {
			for j := range points {
				blank(&points[j].CaseID)
			}
		}
	}
}
