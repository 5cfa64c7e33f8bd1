package annotate

// GoalState is what became of a goal.
type GoalState string

const (
	GoalOpen    GoalState = "open"
	GoalMet     GoalState = "met"
	GoalDropped GoalState = "dropped"
)

// Goal is what a trainee and a trainer agreed to work on next.
type Goal struct {
	ID        string    `json:"id"`
	Revision  int64     `json:"revision"`
	TraineeID string    `json:"traineeId"`
	AuthorID  string    `json:"authorId"` // set by the server
	Text      string    `json:"text"`
	Step      string    `json:"step,omitempty"` // code of the step that it is about
	AgreedOn  string    `json:"agreedOn"`       // date
	DueOn     string    `json:"dueOn,omitempty"`
	State     GoalState `json:"state"`
	// Outcome says how it went, once the goal is met or dropped.
	Outcome  string `json:"outcome,omitempty"`
	ClosedOn string `json:"closedOn,omitempty"` // set by the server
}

func (g Goal) validate(today string) error {
	var p problems
	p.id("id", g.ID)
	p.text("text", g.Text, 1, 1000)
	if g.Step != "" {
		p.id("step", g.Step)
	}
	agreed, due := p.date("agreedOn", g.AgreedOn, true), p.date("dueOn", g.DueOn, false)
	if agreed && g.AgreedOn > today {
		p.add("agreedOn", "lies in the future")
	}
	if agreed && due && g.DueOn < g.AgreedOn {
		p.add("dueOn", "lies before the day on which it was agreed")
	}
	oneOf(&p, "state", g.State, true, GoalOpen, GoalMet, GoalDropped)
	p.text("outcome", g.Outcome, 0, 1000)
	if g.State == GoalDropped && g.Outcome == "" {
		p.add("outcome", "must say why the goal is dropped")
	}
	return p.err("The goal")
}
