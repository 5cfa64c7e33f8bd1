package annotate

import "zonule/timeline"

// ItemFacts are of a case what the unit's completeness and expected rate are added up from.
type ItemFacts struct {
	// Rules is the version of the rules by which the rest was made; another than itemRules means: make it anew.
	Rules int `json:"rules"`
	// Missing has a bit for each of wantedItems, from the lowest, that is set when the case lacks the item.
	Missing int64 `json:"missing"`
	// ExpectedLow and ExpectedHigh are the published risk in percent; they differ while a factor is unknown.
	ExpectedLow  float64 `json:"expectedLow"`
	ExpectedHigh float64 `json:"expectedHigh"`
}

// itemRules goes up whenever wantedItems or the published risk change, so that what is stored is made anew.
const itemRules = 1

func itemFactsOf(c Case, visits []Visit) ItemFacts {
	risk := timeline.ExpectedRisk(c.RiskInput())
	facts := ItemFacts{Rules: itemRules, ExpectedLow: risk.LowPercent, ExpectedHigh: risk.HighPercent}
	for i, wanted := range wantedItems {
		if !wanted.have(c, visits) {
			facts.Missing |= 1 << i
		}
	}
	return facts
}

// lacks reports whether the item with the number is missing.
func (f ItemFacts) lacks(item int) bool { return f.Missing&(1<<item) != 0 }

// chance is the published risk as a fraction; false while a factor is unknown.
func (f ItemFacts) chance() (float64, bool) {
	return f.ExpectedLow / 100, f.ExpectedLow == f.ExpectedHigh
}
