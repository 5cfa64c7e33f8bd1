package annotate

import (
	"slices"
	"strings"
)

// RuptureDefinition is what counts as capsule rupture in audit.
type RuptureDefinition struct {
	Definition string `json:"definition"`
	Source     string `json:"source"`
	Status     string `json:"status"`
}

// ruptureDefinition is the one by which kinds of complications are marked in the unit's list.
var ruptureDefinition = RuptureDefinition{
	Definition: "A rupture of the posterior capsule, with or without vitreous prolapse, or a rupture of the zonule with vitreous prolapse. A zonular dialysis without vitreous does not count. Vitreous loss counts, because vitreous comes forward only through one of the two. A case counts once, however many of these it has.",
	Source:     "National cataract audit of the United Kingdom (nodaudit.org.uk)",
	Status:     "The first two sentences found; that vitreous loss recorded alone counts is our reading.",
}

// RuptureJudgement applies the audit definition of capsule rupture to one case.
type RuptureJudgement struct {
	Counts bool     `json:"counts"`
	Kinds  []string `json:"kinds"` // codes of the recorded complications that count
	Why    string   `json:"why"`   // in words, with what was recorded
	RuptureDefinition
}

// ruptureOf judges the complications of a case.
func ruptureOf(complications []Complication) RuptureJudgement {
	judgement := RuptureJudgement{Kinds: []string{}, RuptureDefinition: ruptureDefinition}
	var counting, near []string
	for _, kind := range complicationKinds {
		if !slices.ContainsFunc(complications, func(c Complication) bool { return c.Kind == kind.Code }) {
			continue
		}
		switch {
		case kind.CapsuleRupture:
			judgement.Kinds = append(judgement.Kinds, kind.Code)
			counting = append(counting, kind.Name)
		case kind.Code == kindDialysis, kind.Code == kindDropped:
			near = append(near, kind.Code)
		}
	}
	judgement.Counts = len(counting) > 0
	switch {
	case judgement.Counts:
		judgement.Why = "Counts, for what is recorded: " + strings.Join(counting, "; ") + "."
	case len(near) == 0:
		judgement.Why = "Does not count: nothing is recorded that falls under the definition."
	default:
		judgement.Why = "Does not count:" + nearMisses(near)
	}
	return judgement
}

// The kinds that come near to the definition without falling under it.
const (
	kindDialysis = "zonular-dialysis"
	kindDropped  = "dropped-fragment"
)

func nearMisses(codes []string) string {
	var text string
	if slices.Contains(codes, kindDialysis) {
		text += " a zonular dialysis without vitreous is excluded by the definition."
	}
	if slices.Contains(codes, kindDropped) {
		text += " lens matter in the vitreous usually means a rupture, and none is recorded; please check."
	}
	return text
}

// rupturing are the codes of the kinds that count, in the order of the unit's list.
func rupturing() []string {
	var codes []string
	for _, kind := range complicationKinds {
		if kind.CapsuleRupture {
			codes = append(codes, kind.Code)
		}
	}
	return codes
}
