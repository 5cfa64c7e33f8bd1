package annotate

import (
	"context"
	"slices"
	"strings"

	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// StudyChoices is what a study can ask, with how many cases tell of it.
type StudyChoices struct {
	Outcomes   []OutcomeChoice   `json:"outcomes"`
	Exposures  []ExposureChoice  `json:"exposures"`  // in the order of an operation
	Covariates []CovariateChoice `json:"covariates"` // in order of importance
	Operators  []OperatorChoice  `json:"operators"`  // whose cases alone may be asked about
	Techniques []TechniqueChoice `json:"techniques"`
	From       string            `json:"from"` // day of the first case, "" where the cases are so few that it would tell of one
	To         string            `json:"to"`   // day of the last case
	Cases      int               `json:"cases"`
	// SmallestGroup is how many people must have led the cases before anything is told; 0 for who answers for the unit.
	SmallestGroup int `json:"smallestGroup"`
}

// OutcomeChoice is what may have come of the eyes.
type OutcomeChoice struct {
	Kind          outcome.OutcomeKind  `json:"kind"`
	Name          string               `json:"name"`
	Windows       []WindowChoice       `json:"windows"`       // empty for complications
	Complications []ComplicationChoice `json:"complications"` // empty for the others
	Usual         []string             `json:"usual"`         // codes of the default set of factors
}

// WindowChoice is a visit at which an outcome can be read.
type WindowChoice struct {
	Window Window `json:"window"`
	Name   string `json:"name"`
	N      int    `json:"n"` // cases that know the outcome then
}

// ComplicationChoice is a complication.
type ComplicationChoice struct {
	Code string `json:"code"`
	Name string `json:"name"`
	// Events is the number of cases that had it; nil where too few people led the cases for it to be told.
	Events *int `json:"events"`
}

// ExposureChoice is something done in operations.
type ExposureChoice struct {
	Kind   outcome.ExposureKind `json:"kind"`
	Code   string               `json:"code"`
	Name   string               `json:"name"`
	Unit   string               `json:"unit"`
	Scales []outcome.Scale      `json:"scales"`
	N      int                  `json:"n"`
	Group  string               `json:"group" enum:"times,energy,events"`
}

// CovariateChoice is a factor that can be adjusted for, with the reason for it.
type CovariateChoice struct {
	outcome.Adjustment
	N int `json:"n"`
}

// OperatorChoice is somebody whose cases alone the viewer may study.
type OperatorChoice struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Own  bool   `json:"own"`
}

// TechniqueChoice is a technique performed.
type TechniqueChoice struct {
	Code Technique `json:"code"`
	Name string    `json:"name"`
	N    int       `json:"n"`
}

// StudyChoices gives what can be studied in this unit.
func (s *Service) StudyChoices(ctx context.Context, actor Actor) (StudyChoices, error) {
	if err := mayManage(actor, StudyUse); err != nil {
		return StudyChoices{}, err
	}
	var v studyView
	var all *cohort.Cohort
	var lists []StepList
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		if v, err = studyViewOf(ctx, tx, actor); err != nil {
			return err
		}
		if all, err = s.snapshot.cohort(ctx, tx); err != nil {
			return err
		}
		lists, err = tx.StepLists(ctx)
		return err
	})
	if err != nil {
		return StudyChoices{}, err
	}
	rows := all.Rows()
	choices := StudyChoices{
		Exposures: exposureChoices(rows, lists), Covariates: []CovariateChoice{}, Operators: []OperatorChoice{}, Techniques: []TechniqueChoice{},
		Cases: len(rows), SmallestGroup: v.fewest(outcome.Definition{}),
	}
	if len(rows) >= fewestUnnamed {
		choices.From, choices.To = rows[0].Date, rows[len(rows)-1].Date
	}
	each := make([]*cohort.Row, len(rows))
	for i := range rows {
		each[i] = &rows[i]
	}
	choices.Outcomes = outcomeChoices(rows, outcome.Untold(each, choices.SmallestGroup, "") == "")
	for _, factor := range outcome.Covariates() {
		choices.Covariates = append(choices.Covariates, CovariateChoice{factor, outcome.FactorKnownIn(rows, factor.Code)})
	}
	for _, lane := range v.lanes {
		choices.Operators = append(choices.Operators, OperatorChoice{ID: lane.Operator, Name: lane.Name, Own: lane.Own})
	}
	for _, technique := range Techniques {
		choice := TechniqueChoice{Code: technique, Name: techniqueNames[technique]}
		for i := range rows {
			if rows[i].Technique == string(technique) {
				choice.N++
			}
		}
		choices.Techniques = append(choices.Techniques, choice)
	}
	return choices, nil
}

var techniqueNames = map[Technique]string{
	TechniquePhaco: "Phacoemulsification", TechniqueMSICS: "Manual small-incision surgery", TechniqueECCE: "Extracapsular extraction",
}

var outcomeNames = []struct {
	kind outcome.OutcomeKind
	name string
}{
	{outcome.Loss, "Loss of endothelial cells"}, {outcome.Oedema, "Grade of corneal oedema"}, {outcome.Thickness, "Change of corneal thickness"},
	{outcome.AcuityGain, "Gain of acuity"}, {outcome.Complication, "Complication"},
}

func outcomeChoices(rows []cohort.Row, told bool) []OutcomeChoice {
	choices := make([]OutcomeChoice, len(outcomeNames))
	for i, o := range outcomeNames {
		choice := OutcomeChoice{Kind: o.kind, Name: o.name, Windows: []WindowChoice{}, Complications: []ComplicationChoice{}, Usual: outcome.Usual(o.kind)}
		if o.kind != outcome.Complication {
			for _, window := range Windows {
				n := outcome.Outcome{Kind: o.kind, Window: string(window)}.KnownIn(rows)
				choice.Windows = append(choice.Windows, WindowChoice{window, upperFirst(strings.ReplaceAll(string(window), "-", " ")), n})
			}
			choices[i] = choice
			continue
		}
		kinds := append([]ComplicationKind{{Code: cohort.CapsuleRupture, Name: "Capsule rupture (audit definition)"}}, complicationKinds...)
		for _, kind := range kinds {
			one := ComplicationChoice{Code: kind.Code, Name: kind.Name}
			if told {
				events := outcome.Outcome{Kind: o.kind, Complication: kind.Code}.KnownIn(rows)
				one.Events = &events
			}
			choice.Complications = append(choice.Complications, one)
		}
		choices[i] = choice
	}
	return choices
}

func upperFirst(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

const (
	groupTimes  = "times"
	groupEnergy = "energy"
	groupEvents = "events"
)

// countedApart are the kinds of events that have an exposure of their own.
var countedApart = []string{"ovd-top-up", "fragment-contact"}

// exposureChoices gives the exposures that need no code and those that the step lists know, each once.
func exposureChoices(rows []cohort.Row, lists []StepList) []ExposureChoice {
	names := wordsOf(lists)
	choices := []ExposureChoice{}
	add := func(group string, kind outcome.ExposureKind, code string) {
		if slices.ContainsFunc(choices, func(c ExposureChoice) bool { return c.Kind == kind && c.Code == code }) {
			return
		}
		e := outcome.Exposure{Kind: kind, Code: code}
		m := e.Named(names)
		choices = append(choices, ExposureChoice{kind, code, m.Name, m.Unit, e.Scales(), e.KnownIn(rows), group})
	}
	add(groupTimes, outcome.OperationTime, "")
	for _, list := range slices.Backward(lists) {
		for _, stage := range list.Stages {
			add(groupTimes, outcome.StageTime, stage.Code)
		}
	}
	for _, list := range slices.Backward(lists) {
		for _, step := range list.Steps {
			add(groupTimes, outcome.StepTime, step.Code)
		}
	}
	add(groupTimes, outcome.Interruption, "")
	add(groupTimes, outcome.HandedOver, "")
	for _, kind := range []outcome.ExposureKind{outcome.Dissipated, outcome.EffectiveTime, outcome.UltrasoundTime, outcome.AspirationTime, outcome.Fluid} {
		add(groupEnergy, kind, "")
	}
	add(groupEvents, outcome.OVDTopUps, "")
	add(groupEvents, outcome.Contacts, "")
	for _, list := range slices.Backward(lists) {
		for _, kind := range list.EventKinds {
			if !slices.Contains(countedApart, kind.Code) {
				add(groupEvents, outcome.Events, kind.Code)
			}
		}
	}
	return choices
}
