package timeline

import "math"

// Answer is a tri-state: unknown is not no.
type Answer string

const (
	Unknown Answer = ""
	Yes     Answer = "yes"
	No      Answer = "no"
)

// RiskInput is what is known before the operation. Nil, "" and any word that is not listed mean unknown.
type RiskInput struct {
	Age                 *int     // whole years
	Sex                 string   // "female", "male"
	Pupil               string   // "large", "medium", "small"
	AxialLength         *float64 // mm
	Glaucoma            Answer
	DiabeticRetinopathy Answer
	BrunescentOrWhite   Answer
	NoFundalView        Answer
	Pseudoexfoliation   Answer // or phacodonesis
	AlphaBlocker        Answer
	CannotLieFlat       Answer
	// Grade is "consultant", "associate-specialist", "specialty-doctor", "fellow", "senior-trainee" or "junior-trainee".
	Grade string
	// OddsMultiplier recalibrates in the large; nil, or not above 0: off.
	OddsMultiplier *float64
}

// RiskFactor is one factor of the product. Low and High are the odds ratio; they differ when the answer is unknown.
type RiskFactor struct {
	Code   string  `json:"code"`
	Name   string  `json:"name"`
	Level  string  `json:"level"` // the answer in words, or "unknown"
	Known  bool    `json:"known"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Status string  `json:"status"` // of the published odds ratio: "found" or "from memory"
}

// Risk is the expected chance of capsule rupture or vitreous loss, as in cases like this one; never a decision.
type Risk struct {
	Percent       *float64     `json:"percent"` // nil when a factor is unknown: see the range
	LowPercent    float64      `json:"lowPercent"`
	HighPercent   float64      `json:"highPercent"`
	CompositeLow  float64      `json:"compositeLow"` // product of the odds ratios
	CompositeHigh float64      `json:"compositeHigh"`
	Factors       []RiskFactor `json:"factors"`
	Unknown       []string     `json:"unknown"` // codes of the factors that make the range
	// OddsMultiplier is nil when recalibration is off.
	OddsMultiplier *float64 `json:"oddsMultiplier"`
	Source         string   `json:"source"`
	Status         string   `json:"status"`
	Limits         string   `json:"limits"`
}

const (
	// baselinePercent is the chance with every factor at its reference level. Source: Narendran 2009, from memory.
	baselinePercent = 0.736
	riskSource      = "Narendran N et al., Cataract National Dataset of 55 567 operations, Eye 2009;23:31-37"
	riskStatus      = "The odds ratios and the baseline are from memory and not yet checked against the paper, except male sex (1.28), the list of factors and the overall rate of 1.92 %."
	riskLimits      = "Expected in cases like this, not for this patient, and not a decision. The data are of 2001 to 2006; rates have fallen since (0.69 % in 2023-24), so that it expects too much today unless recalibrated. Factors may act together in ways that a product does not show."
	fromMemory      = "from memory"
)

// ExpectedRisk is the published composite: odds = baseline odds x product of the odds ratios, p = odds/(1 + odds). An
// unknown factor gives a range from its lowest to its highest odds ratio. Source: Narendran 2009; method found in
// outline (letter, Eye 2011), table from memory except male sex.
func ExpectedRisk(in RiskInput) Risk {
	risk := Risk{CompositeLow: 1, CompositeHigh: 1, Factors: in.factors(), Unknown: []string{}, Source: riskSource, Status: riskStatus, Limits: riskLimits}
	for _, factor := range risk.Factors {
		risk.CompositeLow *= factor.Low
		risk.CompositeHigh *= factor.High
		if !factor.Known {
			risk.Unknown = append(risk.Unknown, factor.Code)
		}
	}
	odds := baselinePercent / (100 - baselinePercent)
	if in.OddsMultiplier != nil && positive(*in.OddsMultiplier) {
		risk.OddsMultiplier = in.OddsMultiplier
		odds *= *in.OddsMultiplier
	}
	risk.LowPercent, risk.HighPercent = percentOf(odds*risk.CompositeLow), percentOf(odds*risk.CompositeHigh)
	if len(risk.Unknown) == 0 {
		risk.Percent = &risk.LowPercent
	}
	return risk
}

func percentOf(odds float64) float64 { return 100 * odds / (1 + odds) }

// RecalibratingMultiplier is the one multiplier on the odds with which the expected number of events, given the chances
// of a window of cases as fractions, equals the observed. False when none does: no case, no event, only events, or a
// chance that is not strictly between 0 and 1. Source: recalibration in the large, common practice; solved by halving.
func RecalibratingMultiplier(chances []float64, events int) (float64, bool) {
	if events <= 0 || events >= len(chances) {
		return 0, false
	}
	for _, p := range chances {
		if !(p > 0 && p < 1) {
			return 0, false
		}
	}
	expected := func(log float64) float64 {
		var sum float64
		for _, p := range chances {
			odds := p / (1 - p) * math.Exp(log)
			sum += odds / (1 + odds)
		}
		return sum
	}
	low, high := -50.0, 50.0 // beyond any odds ratio that a real window can ask for
	for range 200 {
		middle := (low + high) / 2
		if expected(middle) < float64(events) {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Exp((low + high) / 2), true
}

// oddsLevel is one level of a factor.
type oddsLevel struct {
	level string
	ratio float64
}

// The table of Narendran 2009, each factor with its reference level first. Source: from memory, except male sex (found).
var (
	ageLevels   = []oddsLevel{{"under 60", 1}, {"60 to 69", 1.14}, {"70 to 79", 1.42}, {"80 to 89", 1.58}, {"90 or over", 2.37}}
	sexLevels   = []oddsLevel{{"female", 1}, {"male", 1.28}}
	pupilLevels = []oddsLevel{{"large", 1}, {"medium", 1.14}, {"small", 1.45}}
	axialLevels = []oddsLevel{{"under 26 mm", 1}, {"26 mm or more", 1.47}}
	gradeLevels = []oddsLevel{{"consultant", 1}, {"associate-specialist", 0.87}, {"specialty-doctor", 0.36}, {"fellow", 1.65}, {"senior-trainee", 1.60}, {"junior-trainee", 3.73}}
)

// factors gives the eleven patient factors and the surgeon's grade, in the order of the publication's table.
func (in RiskInput) factors() []RiskFactor {
	sex := levelled("sex", "Sex", sexLevels, in.Sex)
	sex.Status = "found" // quoted with its interval 1.13 to 1.45 by a response in BJO 2017;101:1466
	return []RiskFactor{
		levelled("age", "Age", ageLevels, ageLevel(in.Age)),
		sex,
		yesOrNo("glaucoma", "Glaucoma", in.Glaucoma, 1.30),
		yesOrNo("diabeticRetinopathy", "Diabetic retinopathy", in.DiabeticRetinopathy, 1.63),
		yesOrNo("brunescentOrWhite", "Brunescent or white cataract", in.BrunescentOrWhite, 2.99),
		yesOrNo("noFundalView", "No fundal view or vitreous opacities", in.NoFundalView, 2.46),
		yesOrNo("pseudoexfoliation", "Pseudoexfoliation or phacodonesis", in.Pseudoexfoliation, 2.92),
		levelled("pupil", "Pupil", pupilLevels, in.Pupil),
		levelled("axialLength", "Axial length", axialLevels, axialLevel(in.AxialLength)),
		yesOrNo("alphaBlocker", "Doxazosin or another alpha-blocker", in.AlphaBlocker, 1.51),
		yesOrNo("cannotLieFlat", "Unable to lie flat", in.CannotLieFlat, 1.27),
		levelled("grade", "Surgeon's grade", gradeLevels, in.Grade),
	}
}

func yesOrNo(code, name string, answer Answer, ratio float64) RiskFactor {
	return levelled(code, name, []oddsLevel{{string(No), 1}, {string(Yes), ratio}}, string(answer))
}

// levelled looks the level up; one that is not in the table is unknown and spans the whole table.
func levelled(code, name string, levels []oddsLevel, level string) RiskFactor {
	factor := RiskFactor{Code: code, Name: name, Level: "unknown", Low: levels[0].ratio, High: levels[0].ratio, Status: fromMemory}
	for _, l := range levels {
		if l.level == level {
			return RiskFactor{Code: code, Name: name, Level: level, Known: true, Low: l.ratio, High: l.ratio, Status: fromMemory}
		}
		factor.Low, factor.High = min(factor.Low, l.ratio), max(factor.High, l.ratio)
	}
	return factor
}

func ageLevel(age *int) string {
	switch {
	case age == nil || *age < 0:
		return ""
	case *age < 60:
		return ageLevels[0].level
	}
	return ageLevels[min(*age/10-5, len(ageLevels)-1)].level
}

func axialLevel(length *float64) string {
	switch {
	case length == nil || !positive(*length):
		return ""
	case *length < 26:
		return axialLevels[0].level
	}
	return axialLevels[1].level
}
