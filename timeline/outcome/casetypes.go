package outcome

// CaseAnswer is one case beside others like it.
type CaseAnswer struct {
	CaseID    string         `json:"caseId"`
	Exposures []CaseExposure `json:"exposures"`
	Loss      *CaseLoss      `json:"loss"`
	// WhyNoLoss says what is missing where Loss is nil.
	WhyNoLoss     string             `json:"whyNoLoss"`
	Complications []CaseComplication `json:"complications"`
	StandsOut     string             `json:"standsOut"` // one sentence, composed from the figures
	CannotSay     string             `json:"cannotSay"` // one sentence
	Notes         []string           `json:"notes"`
}

// CaseExposure is one exposure of the case in its reference distribution: the unit's other cases of the same technique.
type CaseExposure struct {
	Exposure Exposure `json:"exposure"`
	Measure
	Value     *float64 `json:"value"` // nil when it is not known
	Reference Spread   `json:"reference"`
	// Percentile is by mid-rank; nil under 20 cases.
	Percentile *float64 `json:"percentile"`
	Why        string   `json:"why"`
}

// CaseLoss is the loss observed beside the loss expected of such an eye with such exposures, percent.
type CaseLoss struct {
	Window       string   `json:"window"`
	Observed     float64  `json:"observed"`
	ObservedLow  *float64 `json:"observedLow"` // from counting error; nil when it is not known
	ObservedHigh *float64 `json:"observedHigh"`
	Expected     float64  `json:"expected"`
	Low          float64  `json:"low"` // of the 95 % prediction interval
	High         float64  `json:"high"`
	Beyond       bool     `json:"beyond"` // observed outside it
	N            int      `json:"n"`      // cases behind the expectation
	AdjustedFor  []string `json:"adjustedFor"`
	Text         string   `json:"text"`
}

// CaseComplication is a complication of the case and how often its step carries it.
type CaseComplication struct {
	Kind string `json:"kind"`
	Step string `json:"step"` // "" in none
	// InStep and OfKind count the unit's cases of this technique: with this kind during this step, and with this kind at all.
	InStep int `json:"inStep"`
	OfKind int `json:"ofKind"`
	// StepCases are the cases in which the step was done.
	StepCases int     `json:"stepCases"`
	Percent   float64 `json:"percent"` // InStep of StepCases
	Low       float64 `json:"low"`     // Wilson, 95 %
	High      float64 `json:"high"`
	// Longer is the length of the step in this case over the unit's median without the complication, nil when not known.
	Longer *float64 `json:"longer"`
	// Published is what a published series says of where this kind happens, "" without one.
	Published string `json:"published"`
	Text      string `json:"text"`
}
