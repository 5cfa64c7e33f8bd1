package annotate

import "fmt"

// AssessmentForm is a form of the unit's own: what is looked at, and the scale on which it is judged. A version never
// changes once stored.
type AssessmentForm struct {
	ID      string `json:"id"`
	Version int    `json:"version"`
	Name    string `json:"name"`
	// Scale runs from the least to the most able.
	Scale     []ScaleLevel     `json:"scale"`
	Items     []AssessmentItem `json:"items"`
	Shipped   bool             `json:"shipped"`
	Retired   bool             `json:"retired"` // no longer offered
	CreatedAt int64            `json:"createdAt"`
}

// ScaleLevel is one level of a scale.
type ScaleLevel struct {
	Value int    `json:"value"`
	Label string `json:"label"`
}

// AssessmentItem is one thing to be judged.
type AssessmentItem struct {
	Code string `json:"code"`
	Text string `json:"text"`
	// Step is the code of the step that it is about, "" for the operation as a whole.
	Step string `json:"step,omitempty"`
}

// AssessmentFormRef names one version of a form.
type AssessmentFormRef struct {
	ID      string `json:"id"`
	Version int    `json:"version"`
}

// Assessment is one person's judgement of another, or of themselves, in one case.
type Assessment struct {
	ID         string            `json:"id"`
	CaseID     string            `json:"caseId"`
	Revision   int64             `json:"revision"`
	Form       AssessmentFormRef `json:"form"`
	SubjectID  string            `json:"subjectId"`
	AssessorID string            `json:"assessorId"` // set by the server
	Marks      []Mark            `json:"marks"`
	Remark     string            `json:"remark,omitempty"`
	MadeAt     int64             `json:"madeAt"`    // Unix ms
	UpdatedAt  int64             `json:"updatedAt"` // Unix ms
}

// Mark is the judgement of one item. An item that was not seen has none.
type Mark struct {
	Item  string `json:"item"`
	Value int    `json:"value"`
	Note  string `json:"note,omitempty"`
}

func (f AssessmentForm) ref() AssessmentFormRef {
	return AssessmentFormRef{ID: f.ID, Version: f.Version}
}

const (
	mostLevels = 10
	mostItems  = 60
)

func (f AssessmentForm) validate() error {
	var p problems
	p.id("id", f.ID)
	p.text("name", f.Name, 1, 120)
	if len(f.Scale) < 2 || len(f.Scale) > mostLevels {
		p.add("scale", "must have 2 to %d levels", mostLevels)
	}
	for i, level := range f.Scale {
		field := fmt.Sprintf("scale[%d].", i)
		p.text(field+"label", level.Label, 1, 120)
		if i > 0 && level.Value <= f.Scale[i-1].Value {
			p.add(field+"value", "must be above that of the level before")
		}
	}
	if len(f.Items) == 0 || len(f.Items) > mostItems {
		p.add("items", "must have 1 to %d entries", mostItems)
	}
	named := map[string]bool{}
	for i, item := range f.Items {
		field := fmt.Sprintf("items[%d].", i)
		p.id(field+"code", item.Code)
		if named[item.Code] {
			p.add(field+"code", "is used twice")
		}
		named[item.Code] = true
		p.text(field+"text", item.Text, 1, 300)
		if item.Step != "" {
			p.id(field+"step", item.Step)
		}
	}
	return p.err("The form")
}

// validate checks an assessment against its form.
func (a Assessment) validate(form AssessmentForm) error {
	var p problems
	p.id("id", a.ID)
	p.text("remark", a.Remark, 0, 4000)
	known, judged := map[string]bool{}, map[string]bool{}
	for _, item := range form.Items {
		known[item.Code] = true
	}
	levels := map[int]bool{}
	for _, level := range form.Scale {
		levels[level.Value] = true
	}
	for i, mark := range a.Marks {
		field := fmt.Sprintf("marks[%d].", i)
		switch {
		case !known[mark.Item]:
			p.add(field+"item", "is not an item of the form")
		case judged[mark.Item]:
			p.add(field+"item", "is judged twice")
		}
		judged[mark.Item] = true
		if !levels[mark.Value] {
			p.add(field+"value", "is not a level of the form's scale")
		}
		p.text(field+"note", mark.Note, 0, 1000)
	}
	if len(a.Marks) == 0 && a.Remark == "" {
		p.add("marks", "is empty: judge at least one item, or write a remark")
	}
	return p.err("The assessment")
}
