package annotate

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"zonule/timeline/cohort"
)

// CompareQuestion chooses the cases that are compared and, when Items is not empty, the rows of the answer: "step:<code>",
// "stage:<code>" or "operation". Without a list the steps are those of the newest lists of the technique.
type CompareQuestion struct {
	cohort.Question
	Items []string
}

// LearningQuestion asks for the learning curve at one item of one person: "me", or the id of somebody whom the actor
// supervised in training.
type LearningQuestion struct {
	cohort.Question
	Item     string
	Operator string
	Grade    bool // adjusted for the nuclear grade
}

// Comparison compares the times of the unit's cases. The actor is one lane of it; a trainer sees those whom they
// supervised in training too, by name. Everybody else is part of the unnamed group.
func (s *Service) Comparison(ctx context.Context, actor Actor, q CompareQuestion) (cohort.Comparison, error) {
	v, err := s.compareView(ctx, actor, q.Question)
	if err != nil {
		return cohort.Comparison{}, err
	}
	if q.Question.Items, err = v.chosen(q.Items); err != nil {
		return cohort.Comparison{}, err
	}
	answer := cohort.Compare(v.cohort, q.Question, v.lanes)
	for _, row := range answer.Rows {
		for _, lane := range row.Lanes {
			for i := range lane.Points {
				v.blank(&lane.Points[i])
			}
		}
	}
	return answer, nil
}

// Learning gives the learning curve of one person at one item.
func (s *Service) Learning(ctx context.Context, actor Actor, q LearningQuestion) (cohort.Learning, error) {
	v, err := s.compareView(ctx, actor, q.Question)
	if err != nil {
		return cohort.Learning{}, err
	}
	items, err := v.chosen([]string{q.Item})
	if err != nil {
		return cohort.Learning{}, err
	}
	lane, err := laneOf(v.lanes, q.Operator)
	if err != nil {
		return cohort.Learning{}, err
	}
	answer := cohort.Learn(v.cohort, cohort.LearningQuestion{Question: q.Question, Item: items[0], Lane: lane, Grade: q.Grade})
	for i := range answer.Points {
		v.blank(&answer.Points[i].Point)
	}
	return answer, nil
}

// compareView is what a comparison is made of, and how much of it the actor may see.
type compareView struct {
	cohort *cohort.Cohort
	lanes  []cohort.Lane
	items  []cohort.Item
	// seen are the cases whose readings the actor may see: clinic staff see every case, but not what was timed in it.
	seen sight
}

func (s *Service) compareView(ctx context.Context, actor Actor, q cohort.Question) (compareView, error) {
	if err := mayManage(actor, CompareUse); err != nil {
		return compareView{}, err
	}
	if err := validateQuestion(q); err != nil {
		return compareView{}, err
	}
	var v compareView
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		if v.cohort, err = s.snapshot.cohort(ctx, tx); err != nil {
			return err
		}
		if v.lanes, err = lanesOf(ctx, tx, actor); err != nil {
			return err
		}
		if v.seen, err = sightOf(ctx, tx, actor, ReadingView); err != nil {
			return err
		}
		lists, err := tx.StepLists(ctx)
		v.items = comparedItems(lists, q)
		return err
	})
	if err == nil && len(v.items) == 0 {
		var p problems
		p.add("list", "is not a step list of this unit")
		err = p.err("The comparison")
	}
	return v, err
}

func validateQuestion(q cohort.Question) error {
	var p problems
	oneOf(&p, "technique", Technique(q.Technique), false, Techniques...)
	oneOf(&p, "part", q.Part, false, cohort.AllCases, cohort.WholeCases, cohort.PartCases)
	p.period(q.From, q.To)
	for field, grade := range map[string]int{"gradeFrom": q.GradeFrom, "gradeTo": q.GradeTo} {
		if grade < 0 || grade > 5 {
			p.add(field, "must lie between 1 and 5")
		}
	}
	if q.GradeTo > 0 && q.GradeTo < q.GradeFrom {
		p.add("gradeTo", "lies below the first grade")
	}
	return p.asked("The comparison")
}

// period checks two dates that may be left out.
func (p *problems) period(from, to string) {
	first, last := p.date("from", from, false), p.date("to", to, false)
	if first && last && to < from {
		p.add("to", "lies before the first day")
	}
}

// asked is err for something that was asked and not saved.
func (p *problems) asked(what string) error {
	if len(p.fields) == 0 {
		return nil
	}
	return &Error{
		Code: CodeInvalid, Fields: p.fields,
		Message: fmt.Sprintf("%s was not made: %s %s.", what, p.fields[0].Field, p.fields[0].Message),
	}
}

// comparedItems gives what can be compared, from the lists that the question is about: the operation, the stages and the steps,
// each in the order of the list.
func comparedItems(lists []StepList, q cohort.Question) []cohort.Item {
	items := []cohort.Item{{Kind: cohort.OfOperation, Name: "Operation"}}
	add := func(kind cohort.Kind, code, name string) {
		if !slices.ContainsFunc(items, func(i cohort.Item) bool { return i.Kind == kind && i.Code == code }) {
			items = append(items, cohort.Item{Kind: kind, Code: code, Name: name})
		}
	}
	asked := func(l StepList) bool {
		return q.List == l.ID || q.List == "" && (q.Technique == "" || q.Technique == string(l.Technique))
	}
	for _, list := range slices.Backward(lists) { // the newest version first
		if asked(list) {
			for _, stage := range list.Stages {
				add(cohort.OfStage, stage.Code, stage.Name)
			}
		}
	}
	for _, list := range slices.Backward(lists) {
		if asked(list) {
			for _, step := range list.Steps {
				add(cohort.OfStep, step.Code, step.Name)
			}
		}
	}
	if len(items) == 1 {
		return nil
	}
	return items
}

// chosen gives the items with the names, all without one.
func (v compareView) chosen(names []string) ([]cohort.Item, error) {
	if len(names) == 0 {
		return v.items, nil
	}
	chosen := []cohort.Item{}
	var p problems
	for _, name := range names {
		at := slices.IndexFunc(v.items, func(i cohort.Item) bool { return strings.TrimSuffix(string(i.Kind)+":"+i.Code, ":") == name })
		if at < 0 {
			p.add("items", "names %q, which is in no step list of the question", name)
			continue
		}
		chosen = append(chosen, v.items[at])
	}
	return chosen, p.asked("The comparison")
}

// blank takes from a point what leads to a case that the actor may not see.
func (v compareView) blank(point *cohort.Point) {
	if v.seen.hide(&point.CaseID); point.CaseID == "" {
		point.At = nil
	}
}
