package cohort

import "zonule/timeline"

// Question chooses the cases that are compared. Empty fields and zeros do not restrict.
type Question struct {
	List      string    `json:"list"`      // id of the step list
	Technique string    `json:"technique"` // performed
	From      string    `json:"from"`      // first day, YYYY-MM-DD
	To        string    `json:"to"`        // last day
	GradeFrom int       `json:"gradeFrom"` // nuclear grade, 1 to 5
	GradeTo   int       `json:"gradeTo"`
	Part      Wholeness `json:"part"`
	// Items are the rows of the answer, in order.
	Items []Item `json:"-"`
}

// Wholeness says whether whole cases, part-cases or both count. A part-case is one that more than one person operated.
type Wholeness string

const (
	AllCases   Wholeness = "all" // "" means the same
	WholeCases Wholeness = "whole"
	PartCases  Wholeness = "part"
)

// Kind says what an item is.
type Kind string

const (
	OfStep      Kind = "step"
	OfStage     Kind = "stage"
	OfOperation Kind = "operation" // first start to last end; whole cases only; its code is ""
)

// Item is a step, a stage or the operation as a whole.
type Item struct {
	Kind Kind   `json:"kind"`
	Code string `json:"code"`
	Name string `json:"name"`
}

// Lane is a person who is shown by name; everybody else is part of the unnamed group only.
type Lane struct {
	Operator string `json:"operator"` // id
	Name     string `json:"name"`
	Own      bool   `json:"own"` // the viewer
}

// Comparison answers a Question. Times are ms.
type Comparison struct {
	Question Question        `json:"question"`
	N        Counted         `json:"n"`
	Rows     []ComparisonRow `json:"rows"`
	Methods  []Method        `json:"methods"`
}

// Counted is how many cases and operators answer, and what was left out. A case may be left out for one step only: that
// stands in the row.
type Counted struct {
	Cases     int       `json:"cases"`
	Operators int       `json:"operators"`
	LeftOut   []LeftOut `json:"leftOut"`
}

// LeftOut counts cases that do not count, with the reason in words.
type LeftOut struct {
	Reason string `json:"reason"`
	Cases  int    `json:"cases"`
}

// ComparisonRow compares one item. Lanes stand in the order in which they were given: never by speed.
type ComparisonRow struct {
	Item
	// Group is everybody, the lanes included; nil when too few to stay unnamed, or nothing is known: Why tells.
	Group *Group       `json:"group"`
	Why   string       `json:"why,omitempty"`
	Lanes []LaneResult `json:"lanes"`
	// LeftOut are cases of the question that give this item no time.
	LeftOut []LeftOut `json:"leftOut"`
	// AdjustedFor are the terms of the model in words, Dropped those that it could not use, with the reason.
	AdjustedFor []string `json:"adjustedFor"`
	Dropped     []string `json:"dropped"`
	// FellOut are cases with a time that the adjusted figures had to leave out.
	FellOut []LeftOut `json:"fellOut"`
	// WhyNot tells why nothing is adjusted; "" when it is.
	WhyNot string   `json:"whyNot,omitempty"`
	Notes  []string `json:"notes"`
}

// Group is the distribution of an unnamed group, ms. P5 and P95 are nil under 20 cases. Spread are its times in ascending
// order, thinned evenly to at most 200.
type Group struct {
	N         int      `json:"n"`
	Operators int      `json:"operators"`
	Median    float64  `json:"median"`
	Q1        float64  `json:"q1"`
	Q3        float64  `json:"q3"`
	P5        *float64 `json:"p5"`
	P95       *float64 `json:"p95"`
	Spread    []int64  `json:"spread"`
}

// LaneResult is one person at one item, ms. Under 5 cases there are points only, and Why says so. The ratios are to the
// average operator of the group, who counts once however many the cases: 1 is as expected.
type LaneResult struct {
	Lane
	N          int      `json:"n"`
	Points     []Point  `json:"points"` // by date; the latest 200
	Median     *float64 `json:"median"`
	Q1         *float64 `json:"q1"`
	Q3         *float64 `json:"q3"`
	MedianLow  *float64 `json:"medianLow"` // nil under 6 cases
	MedianHigh *float64 `json:"medianHigh"`
	// Raw takes no account of the eyes. Adjusted is that of the mixed model, drawn towards 1 the more the fewer the cases;
	// Alone is the same without being drawn towards 1, so noisier.
	Raw      *Ratio `json:"raw"`
	Adjusted *Ratio `json:"adjusted"`
	Alone    *Ratio `json:"alone"`
	Why      string `json:"why,omitempty"` // a figure is missing
}

// Point is one case of a lane. Whoever sends it blanks CaseID and At for a viewer who may not see the case.
type Point struct {
	CaseID string            `json:"caseId,omitempty"`
	Date   string            `json:"date"`
	Total  int64             `json:"total"` // ms
	Grade  *int              `json:"grade"` // nuclear
	Part   bool              `json:"part"`  // of a part-case
	At     *timeline.Instant `json:"at"`    // where the step starts in the recording
}

// Ratio is a factor with its 95 % interval.
type Ratio struct {
	Ratio    float64 `json:"ratio"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	Shrunken bool    `json:"shrunken"`
}

// Method tells how a figure came about. Status is "found", "from memory", "common practice", "arithmetic" or "our
// definition", as everywhere.
type Method struct {
	Name    string `json:"name"`
	Formula string `json:"formula"`
	Source  string `json:"source"`
	Status  string `json:"status"`
	Caution string `json:"caution"`
}

// LearningQuestion asks how one person's time at one item changes with practice. Items of the Question are not used.
type LearningQuestion struct {
	Question
	Item  Item `json:"item"`
	Lane  Lane `json:"lane"`
	Grade bool `json:"grade"` // adjust for the nuclear grade
}

// Learning is the learning curve of one person at one item. Times are ms. Under 10 cases there are points only, and Why
// says so.
type Learning struct {
	Question LearningQuestion `json:"question"`
	N        int              `json:"n"`
	Points   []LearningPoint  `json:"points"`
	// Rate is the factor per doubling of cases: 0.88 takes 12 % off.
	Rate  *Ratio       `json:"rate"`
	Curve []CurvePoint `json:"curve"` // of the rate
	// Floor is the level that practice approaches, nil when the cases do not show one.
	Floor *Floor `json:"floor"`
	// Break is where the rate changes, nil when the cases do not show it.
	Break *Break `json:"break"`
	// Smooth follows the points, for the eye only.
	Smooth []SmoothPoint `json:"smooth"`
	// Others is the unnamed group of everybody else; nil when too few to stay unnamed: WhyNoGroup tells.
	Others     *Group    `json:"others"`
	WhyNoGroup string    `json:"whyNoGroup,omitempty"`
	LeftOut    []LeftOut `json:"leftOut"`
	// Words is the answer in sentences.
	Words   []string `json:"words"`
	Why     string   `json:"why,omitempty"`
	Notes   []string `json:"notes"`
	Methods []Method `json:"methods"`
}

// LearningPoint is one case; Number counts the person's own operations that held this item, from 1.
type LearningPoint struct {
	Point
	Number int `json:"number"`
}

// CurvePoint is the fitted time at a case number, with the 95 % band of the curve and that of a single new case.
type CurvePoint struct {
	Number   int     `json:"number"`
	Value    float64 `json:"value"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	CaseLow  float64 `json:"caseLow"`
	CaseHigh float64 `json:"caseHigh"`
}

// Floor is the level of the three-parameter power law, ms, with its curve.
type Floor struct {
	Level float64       `json:"level"`
	Low   float64       `json:"low"`
	High  float64       `json:"high"`
	Curve []SmoothPoint `json:"curve"`
}

// Break is a bend of the curve: the factor per doubling before and after the case number At.
type Break struct {
	At     int           `json:"at"`
	Before float64       `json:"before"`
	After  float64       `json:"after"`
	P      float64       `json:"p"` // corrected for the search
	Curve  []SmoothPoint `json:"curve"`
}

// SmoothPoint is a height at a case number, ms.
type SmoothPoint struct {
	Number int     `json:"number"`
	Value  float64 `json:"value"`
}
