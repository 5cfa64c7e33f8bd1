package timeline

import "slices"

// Step is one step of a step list.
type Step struct {
	Code  string `json:"code"`
	Name  string `json:"name"`
	Stage string `json:"stage"`
	// Exclusive steps run one at a time; the others may run beside them.
	Exclusive bool `json:"exclusive"`
	Required  bool `json:"required"`
}

// Mark is the start and end of one episode of a step. A mark without an end is still running.
type Mark struct {
	ID       string
	Step     string // code
	Operator string // "" is a value like any other: the caller says who it means
	Start    Instant
	End      *Instant
}

// Happening is something at an instant: an event or a complication.
type Happening struct {
	ID   string
	Kind string
	At   Instant
}

// Input is one reading of one case.
type Input struct {
	Clock  Clock
	Stages []string // codes, in order
	Steps  []Step   // in usual order; MergeSteps joins the lists of a converted case
	Marks  []Mark
	// Complications are the intraoperative ones that have an instant.
	Complications []Happening
	// Reference is the median total in ms by step code, against which an implausible length is told; nil: none is known.
	Reference map[string]int64
}

// MergeSteps joins the lists of the two techniques of a converted case. The first keeps its order; what only the second
// has comes after the step that it follows there. Neither operation is completed as planned, so only what both lists
// require stays required. Source: our definition.
func MergeSteps(first, second []Step) []Step {
	merged := make([]Step, 0, len(first)+len(second))
	for _, step := range first {
		step.Required = step.Required && isRequired(second, step.Code)
		merged = append(merged, step)
	}
	after := 0
	for _, step := range second {
		if at := indexOf(merged, step.Code); at >= 0 {
			after = at + 1
			continue
		}
		step.Required = false
		merged = slices.Insert(merged, after, step)
		after++
	}
	return merged
}

func indexOf(steps []Step, code string) int {
	return slices.IndexFunc(steps, func(s Step) bool { return s.Code == code })
}

func isRequired(steps []Step, code string) bool {
	at := indexOf(steps, code)
	return at >= 0 && steps[at].Required
}
