package outcome

// CaseAnswer is one case beside others like it.
type CaseAnswer struct {
	Technique string `json:"technique"`
	Others    int    `json:"others"` // the unit's other cases of the technique
	// Exposures are those that this case or any other knows.
	Exposures []CaseExposure `json:"exposures"`
	Loss      *CaseLoss      `json:"loss"`
	// WhyNoLoss says what is missing where Loss is nil.
	WhyNoLoss     string             `json:"whyNoLoss"`
	Complications []CaseComplication `json:"complications"` // as the row holds them
	StandsOut     string             `json:"standsOut"`     // one sentence, composed from the figures
	CannotSay     string             `json:"cannotSay"`     // one sentence
	Notes         []string           `json:"notes"`
}

// CaseExposure is one exposure of the case in its reference distribution: the unit's other cases of the same technique.
type CaseExposure struct {
	Exposure Exposure `json:"exposure"`
	Measure
	Value *float64 `json:"value"` // nil when it is not known
	N     int      `json:"n"`     // other cases in which it is known
	// Reference and Percentile (mid-rank) are nil under 20 cases.
	Reference  *Spread  `json:"reference"`
	Percentile *float64 `json:"percentile"`
	Why        string   `json:"why"` // what is missing where Percentile is nil
}

// CaseLoss is the loss observed beside the loss expected of such an eye with such exposures, percent of the cells before.
type CaseLoss struct {
	Window       string   `json:"window"`
	Observed     float64  `json:"observed"`
	ObservedLow  *float64 `json:"observedLow"` // 95 %, from counting error; nil when it is not known
	ObservedHigh *float64 `json:"observedHigh"`
	Expected     float64  `json:"expected"`
	Low          float64  `json:"low"` // of the 95 % prediction interval
	High         float64  `json:"high"`
	// Beyond says that more was lost than the prediction interval holds, Below that less was.
	Beyond      bool     `json:"beyond"`
	Below       bool     `json:"below"`
	N           int      `json:"n"`           // cases behind the expectation
	AdjustedFor []string `json:"adjustedFor"` // the exposure first, then the factors of the eye
	Text        string   `json:"text"`
}

// CaseShare is how many of the unit's other cases had a complication, with Wilson's 95 % interval. The percentages are nil
// under five cases.
type CaseShare struct {
	Events  int      `json:"events"`
	Cases   int      `json:"cases"`
	Percent *float64 `json:"percent"`
	Low     *float64 `json:"low"`
	High    *float64 `json:"high"`
}

// CaseComplication is a complication of the case and how often its step carries it.
type CaseComplication struct {
	Kind     string `json:"kind"`
	Name     string `json:"name"`
	Step     string `json:"step"` // "" in none
	StepName string `json:"stepName"`
	After    bool   `json:"after"` // found after the operation
	// InStep counts the complication during the step, of the other cases in which the step was done; nil in no step.
	InStep *CaseShare `json:"inStep"`
	// Ever counts it at any time; for one after the operation, of the cases that were seen again.
	Ever CaseShare `json:"ever"`
	// Withheld says why neither is counted: too few people led those cases, "" where they are.
	Withheld string `json:"withheld"`
	// Longer is the length of the step in this case over the unit's median without the complication, nil when not known.
	Longer *float64 `json:"longer"`
	// Published is what a published series says of where this kind happens, "" without one.
	Published string `json:"published"`
	Text      string `json:"text"`
}
