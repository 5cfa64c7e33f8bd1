package annotate

import (
	"context"
	"errors"
	"slices"

	"zonule/timeline/cohort"
)

// Progress is what one person did in a period: for the talk between trainee and trainer.
type Progress struct {
	Person Person       `json:"person"`
	From   string       `json:"from"`   // first day, "" from the beginning
	To     string       `json:"to"`     // last day
	MadeOn string       `json:"madeOn"` // date
	Cases  cohort.Tally `json:"cases"`
	// Steps are the times of the person against like eyes, in the order of the operation; those without a case are left out.
	Steps       []ProgressStep       `json:"steps"`
	Comments    ProgressComments     `json:"comments"`
	Assessments []ProgressAssessment `json:"assessments"` // latest first
	Goals       []Goal               `json:"goals"`       // open ones, and those closed in the period
	Methods     []cohort.Method      `json:"methods"`
}

// ProgressStep is the person's times at one item. Times are ms; the ratio is to the average operator on like eyes.
type ProgressStep struct {
	cohort.Item
	N       int           `json:"n"`
	Median  *float64      `json:"median"` // nil under 5 cases
	Group   *float64      `json:"group"`  // median of the unnamed group
	Against *cohort.Ratio `json:"against"`
	Why     string        `json:"why,omitempty"` // a figure is missing
}

// ProgressComments counts what others said on the person's cases in the period.
type ProgressComments struct {
	Received int        `json:"received"`
	Unseen   int        `json:"unseen"`
	Open     int        `json:"open"`
	Latest   []Feedback `json:"latest"` // at most 20
}

// ProgressAssessment is an assessment of the person with the words of its form.
type ProgressAssessment struct {
	Assessment
	Pseudonym string         `json:"pseudonym"` // "" for who may not see the case
	Date      string         `json:"date"`      // of the operation
	FormName  string         `json:"formName"`
	Lines     []AssessedLine `json:"lines"`
}

// AssessedLine is one mark in words.
type AssessedLine struct {
	Text  string `json:"text"`
	Step  string `json:"step,omitempty"`
	Value int    `json:"value"`
	Label string `json:"label"`
	Note  string `json:"note,omitempty"`
}

// mostLatest bounds the comments of a summary.
const mostLatest = 20

// Progress gives what a person did in a period, to that person and to the trainers who supervised them.
func (s *Service) Progress(ctx context.Context, actor Actor, personID, from, to string) (Progress, error) {
	if err := present(actor); err != nil {
		return Progress{}, err
	}
	var p problems
	p.period(from, to)
	if err := p.asked("The summary"); err != nil {
		return Progress{}, err
	}
	answer := Progress{From: from, To: to, MadeOn: s.today(), Steps: []ProgressStep{}, Assessments: []ProgressAssessment{}, Goals: []Goal{}}
	err := s.store.Read(ctx, func(tx Tx) error {
		if err := mayFollow(ctx, tx, actor, personID); err != nil {
			return err
		}
		account, err := tx.User(ctx, personID)
		if errors.Is(err, ErrNoRow) {
			return notFound("person")
		}
		if err != nil {
			return err
		}
		answer.Person = account.Person()
		all, err := s.snapshot.cohort(ctx, tx)
		if err != nil {
			return err
		}
		visible, err := sightOf(ctx, tx, actor, ReadingView)
		if err != nil {
			return err
		}
		if err := answer.times(ctx, tx, all, visible); err != nil {
			return err
		}
		if err := answer.said(ctx, tx, visible); err != nil {
			return err
		}
		return answer.judged(ctx, tx, actor)
	})
	return answer, err
}

// times fills what was operated and how long it took.
func (p *Progress) times(ctx context.Context, tx Tx, all *cohort.Cohort, visible sight) error {
	lists, err := tx.StepLists(ctx)
	if err != nil {
		return err
	}
	p.Cases = all.TallyOf(p.Person.ID, p.From, p.To)
	p.Cases.CaseIDs = slices.DeleteFunc(p.Cases.CaseIDs, func(id string) bool { return !visible.sees(id) })
	for i := range p.Cases.Complications {
		kind, _ := kindNamed(p.Cases.Complications[i].Code)
		p.Cases.Complications[i].Name = kind.Name
	}
	for i := range p.Cases.Events {
		p.Cases.Events[i].Name = eventName(lists, p.Cases.Events[i].Code)
	}
	question := cohort.Question{From: p.From, To: p.To}
	question.Items = comparedItems(lists, question)
	compared := cohort.Compare(all, question, []cohort.Lane{{Operator: p.Person.ID, Name: p.Person.Name, Own: true}})
	p.Methods = compared.Methods
	for _, row := range compared.Rows {
		if len(row.Lanes) == 0 || row.Lanes[0].N == 0 {
			continue
		}
		lane := row.Lanes[0]
		step := ProgressStep{Item: row.Item, N: lane.N, Median: lane.Median, Against: lane.Adjusted, Why: lane.Why}
		if row.Group != nil {
			step.Group = &row.Group.Median
		}
		if step.Against == nil && step.Why == "" {
			step.Why = row.WhyNot
		}
		p.Steps = append(p.Steps, step)
	}
	return nil
}

// eventName finds the words for a kind of event; the code itself when no list has them.
func eventName(lists []StepList, code string) string {
	for _, list := range slices.Backward(lists) {
		for _, kind := range list.EventKinds {
			if kind.Code == code {
				return kind.Name
			}
		}
	}
	return code
}

// said fills what others said on the person's cases.
func (p *Progress) said(ctx context.Context, tx Tx, visible sight) error {
	p.Comments.Latest = []Feedback{}
	found, err := tx.FeedbackTo(ctx, p.Person.ID, mostFeedback)
	slices.SortStableFunc(found, func(a, b Feedback) int { return int(b.MadeAt/1000 - a.MadeAt/1000) })
	for _, f := range found {
		if p.From != "" && f.Date < p.From || p.To != "" && f.Date > p.To {
			continue
		}
		p.Comments.Received++
		if !f.Seen {
			p.Comments.Unseen++
		}
		if !f.Settled && f.ReplyTo == "" {
			p.Comments.Open++
		}
		if len(p.Comments.Latest) < mostLatest && visible.sees(f.CaseID) {
			p.Comments.Latest = append(p.Comments.Latest, f)
		}
	}
	return err
}

// judged fills assessments and goals.
func (p *Progress) judged(ctx context.Context, tx Tx, actor Actor) error {
	assessments, err := tx.AssessmentsOf(ctx, p.Person.ID)
	if err != nil {
		return err
	}
	ids := make([]string, len(assessments))
	for i, a := range assessments {
		ids[i] = a.CaseID
	}
	slices.Sort(ids)
	cases, err := tx.Cases(ctx, slices.Compact(ids))
	if err != nil {
		return err
	}
	forms, err := tx.AssessmentForms(ctx)
	if err != nil {
		return err
	}
	for _, a := range slices.Backward(assessments) {
		c := cases[a.CaseID]
		viewed := seen{Case: c, relation: RelationTo(actor.User, c), actor: actor}
		if p.From != "" && c.Date < p.From || p.To != "" && c.Date > p.To || !viewed.seesAssessment(a) {
			continue
		}
		p.Assessments = append(p.Assessments, worded(a, c, forms))
	}
	goals, err := tx.Goals(ctx, p.Person.ID)
	for _, goal := range goals {
		if goal.State == GoalOpen || (p.From == "" || goal.ClosedOn >= p.From) && (p.To == "" || goal.ClosedOn <= p.To) {
			p.Goals = append(p.Goals, goal)
		}
	}
	return err
}

// worded puts an assessment into the words of its form.
func worded(a Assessment, c Case, forms []AssessmentForm) ProgressAssessment {
	line := ProgressAssessment{Assessment: a, Pseudonym: c.Pseudonym, Date: c.Date, Lines: []AssessedLine{}}
	at := slices.IndexFunc(forms, func(f AssessmentForm) bool { return f.ref() == a.Form })
	if at < 0 {
		return line
	}
	form := forms[at]
	line.FormName = form.Name
	for _, item := range form.Items {
		for _, mark := range a.Marks {
			if mark.Item != item.Code {
				continue
			}
			level := slices.IndexFunc(form.Scale, func(l ScaleLevel) bool { return l.Value == mark.Value })
			line.Lines = append(line.Lines, AssessedLine{Text: item.Text, Step: item.Step, Value: mark.Value, Label: form.Scale[level].Label, Note: mark.Note})
		}
	}
	return line
}
