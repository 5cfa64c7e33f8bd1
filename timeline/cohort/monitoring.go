package cohort

// CapsuleRupture is the kind of complication that the audit definition counts, whatever it is called in the record.
const CapsuleRupture = "capsule-rupture"

// MonitoringQuestion asks how often a complication happened, case after case, beside what such eyes expect.
type MonitoringQuestion struct {
	// Kind is a code of complication, or CapsuleRupture.
	Kind      string `json:"kind"`
	Operator  string `json:"operator"`  // id of the person who led, "" for the whole unit
	Technique string `json:"technique"` // performed, "" for all
	From      string `json:"from"`      // first day, "" from the first case
	To        string `json:"to"`        // last day, "" to the last case
	// Restarts begin the charts anew from 0 with the first case after the day of the review.
	Restarts []Restart `json:"restarts"`
	// Worse (above 1) and Better (below 1) are the odds ratios that the charts are built to notice; 0: 2 and 0.5.
	Worse  float64 `json:"worse"`
	Better float64 `json:"better"`
	// Baseline is a chance in percent to be expected of every case; nil: the published chance of each case for capsule
	// rupture, the unit's own rate for any other kind.
	Baseline *float64 `json:"baseline"`
	// OddsMultiplier recalibrates the published chances; nil: not recalibrated.
	OddsMultiplier *float64 `json:"oddsMultiplier"`
	// FalseAlarmEvery is the average number of cases between false alarms that the limits are set for; 0: 5,000.
	FalseAlarmEvery int `json:"falseAlarmEvery"`
	// Adequate and Inadequate are the failure rates in percent that the chart of competence tells apart; 0: 5 and 10.
	Adequate   float64 `json:"adequate"`
	Inadequate float64 `json:"inadequate"`
}

// Restart is a review after which the charts begin again.
type Restart struct {
	Date   string `json:"date"`
	Reason string `json:"reason"`
}

// Monitoring is the answer: two charts with their limits, what crossed them, and how much rests on what is not known.
type Monitoring struct {
	Question MonitoringQuestion `json:"question"`
	N        int                `json:"n"`
	Events   int                `json:"events"`
	// Expected is the number of events expected in these cases; unknown risk factors are taken at the middle of their range.
	Expected float64 `json:"expected"`
	// Basis says where the expected chances come from.
	Basis   string    `json:"basis"`
	LeftOut []LeftOut `json:"leftOut"`
	// Points stand in the order of the cases. Over 2,000 cases only those are kept that shape the curves; Thinned says so.
	Points  []MonitoringPoint `json:"points"`
	Thinned bool              `json:"thinned"`
	// Worse and Better are nil when nothing can be charted; Why says what is missing.
	Worse   *ControlChart `json:"worse"`
	Better  *ControlChart `json:"better"`
	Signals []Signal      `json:"signals"`
	// Competence is nil for the unit.
	Competence  *Competence   `json:"competence"`
	Sensitivity []Sensitivity `json:"sensitivity"`
	Why         string        `json:"why"`
	Text        []string      `json:"text"` // the answer in sentences, for everybody who does not see the curves too
	Notes       []string      `json:"notes"`
	Methods     []Method      `json:"methods"`
}

// MonitoringPoint is one case on the charts.
type MonitoringPoint struct {
	Number   int     `json:"number"` // of the case, from 1
	CaseID   string  `json:"caseId"` // "" where the viewer may not see it
	Date     string  `json:"date"`
	Expected float64 `json:"expected"` // percent
	Event    bool    `json:"event"`
	Worse    float64 `json:"worse"`
	Better   float64 `json:"better"`
	// Excess is the number of events so far minus the number expected; ExcessSD its spread if the chances hold.
	Excess   float64 `json:"excess"`
	ExcessSD float64 `json:"excessSd"`
	Restart  string  `json:"restart,omitempty"` // the reason, on the first case after a review
}

// ControlChart says what one chart looks for and what its limit means.
type ControlChart struct {
	OddsRatio float64 `json:"oddsRatio"`
	Limit     float64 `json:"limit"`
	// FalseAlarmEvery is the average number of cases to a false alarm at this limit, with results as expected.
	FalseAlarmEvery float64  `json:"falseAlarmEvery"`
	FalseAlarms     []Chance `json:"falseAlarms"`
	// FoundAfter is the average number of cases to a signal when the odds have really changed by OddsRatio.
	FoundAfter float64 `json:"foundAfter"`
	Text       string  `json:"text"`
}

// Chance is the chance in percent of something within a number of cases.
type Chance struct {
	Cases   int     `json:"cases"`
	Percent float64 `json:"percent"`
}

// Signal is a chart having reached its limit, and the cases behind it. A chart signals once, until a review restarts it.
type Signal struct {
	Direction string `json:"direction"` // "worse" or "better"
	Number    int    `json:"number"`    // of the case that reached the limit
	CaseID    string `json:"caseId"`
	Date      string `json:"date"`
	// SinceNumber and SinceDate are the first case since the chart last stood at 0.
	SinceNumber int     `json:"sinceNumber"`
	SinceDate   string  `json:"sinceDate"`
	Cases       int     `json:"cases"`
	Events      int     `json:"events"`
	Expected    float64 `json:"expected"`
	// Behind are the cases of that stretch which had the complication.
	Behind []string `json:"behind"`
	// Reviewed is the reason of the restart that followed, "" while there is none.
	Reviewed string `json:"reviewed"`
	Text     string `json:"text"`
}

// Competence is the chart that begins with "not yet shown" and ends when an adequate failure rate is.
type Competence struct {
	Adequate   float64 `json:"adequate"`   // percent
	Inadequate float64 `json:"inadequate"` // percent
	Limit      float64 `json:"limit"`
	// WrongWithin is the chance that somebody with the inadequate rate is declared adequate.
	WrongWithin []Chance `json:"wrongWithin"`
	// FoundAfter is the average number of cases to the declaration with the adequate rate.
	FoundAfter float64   `json:"foundAfter"`
	Path       []float64 `json:"path"` // one value per case, in the order of the cases; empty when Thinned
	// Reached is the number of the case that reached the limit, nil while none has.
	Reached *int   `json:"reached"`
	Date    string `json:"date"`
	Text    string `json:"text"`
}

// Sensitivity is the answer with every unknown risk factor at one end of its range.
type Sensitivity struct {
	Risks    string  `json:"risks"` // "lowest", "middle" or "highest"
	Expected float64 `json:"expected"`
	Worse    bool    `json:"worse"`  // whether that chart signals at all
	Better   bool    `json:"better"` // the same
}

// FunnelQuestion asks which operators lie outside what chance explains; it ranks nobody.
type FunnelQuestion struct {
	Kind      string `json:"kind"` // as in MonitoringQuestion
	Technique string `json:"technique"`
	From      string `json:"from"`
	To        string `json:"to"`
	Own       string `json:"own"` // id of the viewer, whose point is marked; "" marks none
	// Against is "unit" (this unit's own rate in these cases; "" means it too) or "published" (the published chances).
	Against        string   `json:"against"`
	Baseline       *float64 `json:"baseline"` // as in MonitoringQuestion; it is the target then
	OddsMultiplier *float64 `json:"oddsMultiplier"`
}

// Funnel is the answer: points without names, and the limits between which chance keeps them.
type Funnel struct {
	Question FunnelQuestion `json:"question"`
	N        int            `json:"n"`
	Events   int            `json:"events"`
	Target   float64        `json:"target"` // percent
	Basis    string         `json:"basis"`
	LeftOut  []LeftOut      `json:"leftOut"`
	Points   []FunnelPoint  `json:"points"` // most cases first
	Curves   []FunnelCurve  `json:"curves"`
	// Dispersion near 1 says that chance explains the spread between operators; nil with fewer than three.
	Dispersion  *float64 `json:"dispersion"`
	PDispersion *float64 `json:"pDispersion"`
	Why         string   `json:"why"`
	Text        []string `json:"text"`
	Notes       []string `json:"notes"`
	Methods     []Method `json:"methods"`
}

// FunnelPoint is one operator. Rates and limits are in percent and adjusted for case mix: observed over expected, times
// the target.
type FunnelPoint struct {
	Index    int     `json:"index"` // from 1; no more than a place in this answer
	Own      bool    `json:"own"`
	N        int     `json:"n"`
	Events   int     `json:"events"`
	Expected float64 `json:"expected"` // events
	Raw      float64 `json:"raw"`      // percent, not adjusted
	Rate     float64 `json:"rate"`
	Lower95  float64 `json:"lower95"`
	Upper95  float64 `json:"upper95"`
	Lower998 float64 `json:"lower998"`
	Upper998 float64 `json:"upper998"`
	// Outside is "", "95" or "99.8", by the limits for this operator's own mix of cases.
	Outside string `json:"outside"`
	Few     bool   `json:"few"` // under 50 cases
}

// FunnelCurve is the limits at one number of cases with the average mix, percent.
type FunnelCurve struct {
	N        int     `json:"n"`
	Lower95  float64 `json:"lower95"`
	Upper95  float64 `json:"upper95"`
	Lower998 float64 `json:"lower998"`
	Upper998 float64 `json:"upper998"`
}
