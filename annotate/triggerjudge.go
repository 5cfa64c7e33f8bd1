package annotate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"zonule/timeline"
	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// TriggerReason is why a rule brings a case to the meeting. The words name nobody and no date.
type TriggerReason struct {
	Kind  TriggerKind
	Words string
}

// TriggerReference is what a case is judged beside.
type TriggerReference struct {
	// Times are the measured times, ms ascending, of each step in the unit's other cases of the technique, by code.
	Times map[string][]int64
	// Loss is the loss of the case beside what was to be expected; nil where none is expected.
	Loss *outcome.CaseLoss
	// Names are the words for the codes; nil: the codes' own.
	Names outcome.Names
}

func (r TriggerReference) name(kind outcome.NameKind, code string) string {
	if r.Names != nil {
		if name := r.Names(kind, code); name != "" {
			return name
		}
	}
	return strings.ReplaceAll(code, "-", " ")
}

// judge is one rule: the words of the reason, "" when the rule does not apply. What is unknown never applies.
type judge func(unit Unit, rule TriggerRule, row *cohort.Row, reference TriggerReference) string

// judges are the rules that a case is held against by itself. A request is made by a person, and a good case is drawn among many.
var judges = []struct {
	kind TriggerKind
	of   judge
}{
	{TriggerCapsuleRupture, judgeRupture},
	{TriggerVitreousLoss, judgeMishap("vitreous-loss", "zonular-rupture-vitreous")},
	{TriggerZonularDialysis, judgeMishap(kindDialysis, "zonular-rupture-vitreous")},
	{TriggerDroppedFragment, judgeMishap(kindDropped)},
	{TriggerConversion, judgeConversion},
	{TriggerReturnToTheatre, judgeMishap("return-to-theatre")},
	{TriggerEndophthalmitis, judgeMishap("endophthalmitis")},
	{TriggerLossOverLimit, judgeLoss},
	{TriggerLossBeyond, judgeLossBeyond},
	{TriggerFirstDayOedema, judgeOedema},
	{TriggerLongStep, judgeSteps},
}

// Reasons gives the reasons for which the unit's rules bring a case to the meeting, in the order of the rules.
func (u Unit) Reasons(row *cohort.Row, reference TriggerReference) []TriggerReason {
	reasons := []TriggerReason{}
	for _, one := range judges {
		rule := u.trigger(one.kind)
		if !rule.On {
			continue
		}
		if words := one.of(u, rule, row, reference); words != "" {
			reasons = append(reasons, TriggerReason{one.kind, words})
		}
	}
	return reasons
}

// judgeMishap applies when one of the kinds of complication is recorded.
func judgeMishap(kinds ...string) judge {
	return func(_ Unit, _ TriggerRule, row *cohort.Row, reference TriggerReference) string {
		return mishapWords(row, reference, func(kind string) bool { return slices.Contains(kinds, kind) })
	}
}

// judgeRupture applies to what the audit counts.
func judgeRupture(_ Unit, _ TriggerRule, row *cohort.Row, reference TriggerReference) string {
	if !row.CapsuleRupture {
		return ""
	}
	return mishapWords(row, reference, func(kind string) bool {
		known, found := kindNamed(kind)
		return found && known.CapsuleRupture
	})
}

// severityWords are the words for the severities of a complication, "" when it is not graded.
var severityWords = []string{"", "slight", "moderate", "severe"}

// mishapWords names the complications that are meant, each with its step or its day and its severity.
func mishapWords(row *cohort.Row, reference TriggerReference, meant func(kind string) bool) string {
	var sentences []string
	for _, m := range row.Complications {
		if !meant(m.Kind) {
			continue
		}
		words := reference.name(outcome.ComplicationName, m.Kind)
		if m.Step != "" {
			words += " during " + reference.name(outcome.StepName, m.Step)
		}
		if m.Days != nil {
			words += fmt.Sprintf(", day %d", *m.Days)
		}
		if m.Severity > 0 && m.Severity < len(severityWords) {
			words += ", " + severityWords[m.Severity]
		}
		sentences = append(sentences, largeFirst(words)+".")
	}
	return strings.Join(sentences, " ")
}

// techniqueWords name a technique within a sentence.
var techniqueWords = map[Technique]string{
	TechniquePhaco: "phacoemulsification", TechniqueMSICS: "manual small-incision surgery", TechniqueECCE: "extracapsular extraction",
}

func judgeConversion(_ Unit, _ TriggerRule, row *cohort.Row, _ TriggerReference) string {
	if !row.Converted {
		return ""
	}
	return "Converted to " + techniqueWords[Technique(row.Technique)] + "; another technique was planned."
}

// lastLoss is the loss, in percent, at the last visit whose count can be compared with the one before, and its window; nil
// when there is none.
func lastLoss(row *cohort.Row) (window string, percent *float64) {
	for _, seen := range slices.Backward(row.After) {
		if loss := lossAt(row, seen); loss != nil {
			return seen.Window, loss
		}
	}
	return "", nil
}

// lossAt is the loss, in percent, at a visit; nil where the counts are not there or cannot be compared.
func lossAt(row *cohort.Row, seen cohort.Seen) *float64 {
	if row.Before.Count == nil || seen.Count == nil {
		return nil
	}
	compare := timeline.Loss
	if row.CompareInstruments {
		compare = timeline.LossAcrossInstruments
	}
	return compare(countOf(row.Before.Count), countOf(seen.Count), 0).LossPercent
}

func countOf(c *cohort.Count) timeline.Count {
	return timeline.Count{Density: c.Density, Instrument: c.Instrument, Method: c.Method}
}

func judgeLoss(unit Unit, _ TriggerRule, row *cohort.Row, reference TriggerReference) string {
	window, loss := lastLoss(row)
	if loss == nil || *loss <= unit.LossLimitPercent {
		return ""
	}
	return fmt.Sprintf("Loss of endothelial cells %s %% at %s; the unit's limit is %s %%.",
		rounded(*loss), reference.name(outcome.WindowName, window), plain(unit.LossLimitPercent))
}

func judgeLossBeyond(_ Unit, _ TriggerRule, _ *cohort.Row, reference TriggerReference) string {
	l := reference.Loss
	if l == nil || !l.Beyond {
		return ""
	}
	return fmt.Sprintf("Loss of endothelial cells %s %% at %s; %s %% was to be expected of such an eye and such an operation (95 %% of such cases %s to %s %%; %d cases).",
		rounded(l.Observed), reference.name(outcome.WindowName, l.Window), rounded(l.Expected), rounded(l.Low), rounded(l.High), l.N)
}

func judgeOedema(_ Unit, rule TriggerRule, row *cohort.Row, _ TriggerReference) string {
	if rule.Limit == nil {
		return ""
	}
	worst := -1
	for _, seen := range row.After {
		if seen.Window == string(WindowDay1) && seen.OedemaGrade != nil {
			worst = max(worst, *seen.OedemaGrade)
		}
	}
	if worst < 0 || float64(worst) < *rule.Limit {
		return ""
	}
	return fmt.Sprintf("Corneal oedema grade %d of 4 on day 1; the rule begins at grade %s.", worst, plain(*rule.Limit))
}

// longFrom is the share of the other cases that a long step exceeds. The percentile is by Hyndman and Fan's type 7, see
// timeline.Quantile.
const longFrom = 0.95

func judgeSteps(_ Unit, rule TriggerRule, row *cohort.Row, reference TriggerReference) string {
	var long []string
	for _, step := range row.Steps {
		others := reference.Times[step.Code]
		asked := rule.Step == "" || rule.Step == step.Code
		if !asked || step.Quality != timeline.Measured || step.Total == nil || len(others) < timeline.SmallestGroup {
			continue
		}
		limit := timeline.Quantile(others, longFrom)
		if float64(*step.Total) > limit {
			long = append(long, fmt.Sprintf("%s %s; 95 %% of the unit's %d other operations with it took at most %s.",
				largeFirst(reference.name(outcome.StepName, step.Code)), minutes(float64(*step.Total)), len(others), minutes(limit)))
		}
	}
	return strings.Join(long, " ")
}

// minutes writes a time in ms as m:ss.
func minutes(ms float64) string {
	seconds := int64(math.Round(ms / 1000))
	return fmt.Sprintf("%d:%02d", seconds/60, seconds%60)
}

// rounded writes a percentage to one digit, without a fraction of nought.
func rounded(value float64) string { return plain(math.Round(value*10) / 10) }

func largeFirst(words string) string {
	if words == "" {
		return words
	}
	first := []rune(words)[0]
	return strings.ToUpper(string(first)) + strings.TrimPrefix(words, string(first))
}
