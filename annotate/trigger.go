package annotate

import (
	"fmt"
	"slices"
)

// TriggerKind is what brings a case to the meeting.
type TriggerKind string

const (
	TriggerCapsuleRupture  TriggerKind = "capsule-rupture"
	TriggerVitreousLoss    TriggerKind = "vitreous-loss"
	TriggerZonularDialysis TriggerKind = "zonular-dialysis"
	TriggerDroppedFragment TriggerKind = "dropped-fragment"
	TriggerConversion      TriggerKind = "conversion"
	TriggerReturnToTheatre TriggerKind = "return-to-theatre"
	TriggerEndophthalmitis TriggerKind = "endophthalmitis"
	TriggerLossOverLimit   TriggerKind = "loss-over-limit"
	TriggerLossBeyond      TriggerKind = "loss-beyond-prediction"
	TriggerFirstDayOedema  TriggerKind = "day-1-oedema"
	TriggerLongStep        TriggerKind = "long-step"
	TriggerRequested       TriggerKind = "requested"
	TriggerGoodCase        TriggerKind = "good-case"
)

// TriggerRule is one rule of the unit by which cases come to the meeting.
type TriggerRule struct {
	Kind TriggerKind `json:"kind"`
	On   bool        `json:"on"`
	// Limit is the least grade for day-1-oedema and null for every other kind.
	Limit *float64 `json:"limit,omitempty"`
	// Step is the code of the step that long-step looks at, "" for every step; "" for every other kind.
	Step string `json:"step,omitempty"`
}

// usualOedemaGrade is from which grade oedema on the first day is brought to the meeting: of 0 to 4, 3 is where details of
// the iris are hazy. Source: common practice.
const usualOedemaGrade = 3.0

// usualTriggers are the rules of a unit that made none. One step in twenty lies beyond the 95th percentile by its meaning, so
// that long steps are asked for only where a unit wants them.
func usualTriggers() []TriggerRule {
	rules := make([]TriggerRule, len(TriggerChoices))
	for i, choice := range TriggerChoices {
		rules[i] = TriggerRule{Kind: choice.Kind, On: choice.Kind != TriggerLongStep}
		if choice.Kind == TriggerFirstDayOedema {
			grade := usualOedemaGrade
			rules[i].Limit = &grade
		}
	}
	return rules
}

// wholeTriggers puts rules in the order of the choices. A kind that they leave out, which an older program did not know, is off.
func wholeTriggers(rules []TriggerRule) []TriggerRule {
	whole := usualTriggers()
	if rules == nil {
		return whole
	}
	for i := range whole {
		at := slices.IndexFunc(rules, func(r TriggerRule) bool { return r.Kind == whole[i].Kind })
		if at < 0 {
			whole[i].On = false
		} else {
			whole[i] = rules[at]
		}
	}
	return whole
}

func validateTriggers(p *problems, rules []TriggerRule) {
	for i, rule := range rules {
		field := fmt.Sprintf("triggers[%d].", i)
		switch {
		case !slices.ContainsFunc(TriggerChoices, func(c TriggerChoice) bool { return c.Kind == rule.Kind }):
			p.add(field+"kind", "is not a rule that there is")
		case slices.ContainsFunc(rules[:i], func(r TriggerRule) bool { return r.Kind == rule.Kind }):
			p.add(field+"kind", "is named twice")
		}
		switch {
		case rule.Kind != TriggerFirstDayOedema && rule.Limit != nil:
			p.add(field+"limit", "belongs to the oedema of the first day alone")
		case rule.Kind == TriggerFirstDayOedema && rule.Limit == nil:
			p.add(field+"limit", "is missing")
		case rule.Limit != nil:
			p.number(field+"limit", "unit.triggers.limit", *rule.Limit)
		}
		switch {
		case rule.Kind != TriggerLongStep && rule.Step != "":
			p.add(field+"step", "belongs to long steps alone")
		case rule.Step != "":
			p.id(field+"step", rule.Step)
		}
	}
}

// trigger gives the unit's rule of a kind, off when it has none.
func (u Unit) trigger(kind TriggerKind) TriggerRule {
	for _, rule := range u.Triggers {
		if rule.Kind == kind {
			return rule
		}
	}
	return TriggerRule{Kind: kind}
}
