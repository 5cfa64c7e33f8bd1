package annotate

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"zonule/timeline/outcome"
)

// wordsOf gives the names by which the unit's step lists, the newest first, and the catalogue know the codes of a study, as
// they stand within a sentence.
func wordsOf(lists []StepList) outcome.Names {
	names := map[outcome.NameKind]map[string]string{outcome.StepName: {}, outcome.StageName: {}, outcome.EventName: {}, outcome.ComplicationName: {}}
	add := func(kind outcome.NameKind, code, name string) {
		if _, known := names[kind][code]; !known {
			names[kind][code] = withinSentence(name)
		}
	}
	for _, list := range slices.Backward(lists) {
		for _, stage := range list.Stages {
			add(outcome.StageName, stage.Code, stage.Name)
		}
		for _, step := range list.Steps {
			add(outcome.StepName, step.Code, step.Name)
		}
		for _, kind := range list.EventKinds {
			add(outcome.EventName, kind.Code, kind.Name)
		}
	}
	for _, kind := range complicationKinds {
		add(outcome.ComplicationName, kind.Code, kind.Name)
	}
	return func(kind outcome.NameKind, code string) string { return names[kind][code] }
}

// properNames begin names in the catalogue and stay large within a sentence.
var properNames = []string{"Descemet"}

// withinSentence begins a name small, unless it begins with a proper name or its second letter tells an abbreviation such
// as OVD.
func withinSentence(name string) string {
	first, size := utf8.DecodeRuneInString(name)
	second, _ := utf8.DecodeRuneInString(name[size:])
	proper := slices.ContainsFunc(properNames, func(begins string) bool { return strings.HasPrefix(name, begins) })
	if proper || unicode.IsUpper(second) || unicode.IsDigit(second) {
		return name
	}
	return string(unicode.ToLower(first)) + name[size:]
}
