package report

import (
	"regexp"
	"strings"
	"unicode"
)

// safeTexts are the fields that hold what is computed, what a list offers, or the program's own words, and nothing that
// somebody typed.
var safeTexts = []string{
	"CaseFacts.Eye", "EyeBefore.Sex", "EyeBefore.Pupil",
	"EyeBefore.Glaucoma", "EyeBefore.DiabeticRetinopathy", "EyeBefore.BrunescentOrWhite", "EyeBefore.NoFundalView", "EyeBefore.Pseudoexfoliation",
	"EyeBefore.AlphaBlocker", "EyeBefore.CannotLieFlat", "EyeBefore.Guttata", "EyeBefore.DeepSetOrbit", "EyeBefore.PreviousVitrectomy",
	"EyeBefore.PreviousInjections", "EyeBefore.Diabetes", "EyeBefore.Amblyopia", "EyeBefore.OnlyEye", "EyeBefore.CornealScar",
	"EyeBefore.CapsulePlaque", "EyeBefore.PosteriorPolar", "EyeBefore.Phacodonesis", "FellowEye.Operated",
	"Operation.TechniquePlanned", "Operation.TechniquePerformed", "Operation.Anaesthesia", "Operation.IncisionSite", "Operation.OVDs",
	"Operation.Dye", "Operation.PupilDevice", "Operation.LensPosition", "Operation.Quality", "StageSettings.Stage",
	"OperatorFacts.Role", "OperatorFacts.Quality", "RiskFactor.Code", "RiskFactor.Name", "RiskFactor.Level", "RiskFactor.Status",
	"Risk.Unknown", "Risk.Source", "Risk.Status", "Risk.Limits", "PartFacts.State", "Plan.Planned", "Plan.Performed",
	"PlannedStep.Code", "PlannedStep.Name", "Plan.OutOfOrder", "Repetition.Code", "Repetition.Name",
	"SheetLine.Kind", "SheetLine.Code", "SheetLine.Name", "SheetLine.Stage", "SheetLine.Quality", "Band.Stage", "Band.Name",
	"FigureRow.Kind", "FigureRow.Code", "FigureRow.Name", "FigureRow.Stage", "Bar.Quality", "Figure.Quality", "Place.Why",
	"StageFigure.Stage", "StageLine.Name", "Step.Code", "Step.Name", "Step.Stage", "OperatorTime.Quality",
	"PublishedSeries.Code", "PublishedSeries.Name", "PublishedSeries.Citation", "PublishedSeries.Definition",
	"PublishedRow.Phase", "PublishedRow.Steps", "PublishedRow.Definition", "PublishedRow.Quality", "PublishedRow.Place",
	"Happening.Kind", "Happening.Phase", "Happening.Code", "Happening.Name", "Happening.Step", "Visit.Window", "LossResult.Notes", "VisitLine.Flags",
	"CaseLevel.Technique", "CaseLevel.WhyNoLoss", "CaseLevel.StandsOut", "CaseLevel.CannotSay", "CaseLevel.Notes",
	"Exposure.Kind", "Exposure.Code", "Exposure.Scale", "Measure.Code", "Measure.Name", "Measure.Unit", "CaseExposure.Why",
	"CaseLoss.Window", "CaseLoss.AdjustedFor", "CaseLoss.Text", "CaseComplication.Kind", "CaseComplication.Name", "CaseComplication.Step",
	"CaseComplication.StepName", "CaseComplication.Published", "CaseComplication.Text", "HappenedBefore.Kind", "HappenedBefore.Name",
	"MinutesBefore.StepQuality", "MissingItem.Item", "MissingItem.Set", "MissingItem.Part", "MissingItem.Field",
	"MinimumSet.Code", "MinimumSet.Citation", "MinimumSet.Status", "MinimumSet.LeftOut",
	"RuptureJudgement.Kinds", "RuptureJudgement.Why", "RuptureDefinition.Definition", "RuptureDefinition.Source", "RuptureDefinition.Status",
	"FindingLine.Kind", "FindingLine.Text", "Warning.Code", "Warning.Message", "Warning.Step", "Missing.Code", "Missing.Text",
	"Report.Cautions", "Report.Sections", "Versions.Rules",
}

// aDate finds a date or a year in running text, in the usual ways of writing them.
var aDate = regexp.MustCompile(`(?i)\b(?:\d{1,4}[-./]\d{1,2}[-./]\d{1,4}|(?:19|20)\d\d|\d{1,2}(?:st|nd|rd|th)?\s+(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\s+\d{1,2})\b`)

// names tells whether a text holds a word of a name of the case, the pseudonym, the unit, or a date.
func (b *blinder) names(text string) bool {
	if aDate.MatchString(text) {
		return true
	}
	words := map[string]bool{}
	for _, word := range split(text) {
		words[word] = true
	}
	told := []string{b.full.Case.Pseudonym, b.full.Unit}
	for _, o := range b.full.Operators {
		told = append(told, o.Name)
	}
	for _, line := range b.full.Findings {
		told = append(told, line.Author)
	}
	for _, thread := range b.full.Threads {
		for _, remark := range thread.Remarks {
			told = append(told, remark.Author)
		}
	}
	lower := strings.ToLower(text)
	for i, name := range told {
		if name != "" && strings.Contains(lower, strings.ToLower(name)) {
			return true
		}
		for _, word := range split(name) {
			// Words of the unit's name, such as "eye", are words of every text; short ones of a name may be titles.
			if i != 1 && len([]rune(word)) > 2 && words[word] {
				return true
			}
		}
	}
	return false
}

// split gives the words of a text in lower case.
func split(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.In(r, unicode.Letter, unicode.Mark, unicode.Number) })
}
