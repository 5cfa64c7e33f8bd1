package annotate

import (
	"context"
	"fmt"
	"strings"

	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// Study is a question about what came of the eyes, with a name, so that it can be asked again.
type Study struct {
	ID         string             `json:"id"`
	Revision   int64              `json:"revision"`
	Name       string             `json:"name"`
	Question   string             `json:"question"` // why it is asked; may be ""
	OwnerID    string             `json:"ownerId"`  // set by the server
	Definition outcome.Definition `json:"definition"`
	// Shared lets everybody see it who may ask studies and may ask this one; otherwise its owner alone does. Only the owner
	// changes it.
	Shared    bool  `json:"shared"`
	MadeAt    int64 `json:"madeAt"`    // Unix ms, set by the server
	UpdatedAt int64 `json:"updatedAt"` // Unix ms, set by the server
	// RemovedAt is when the owner took it away, 0 while it stands. What was frozen of it stays.
	RemovedAt int64 `json:"-"`
}

// FrozenStudy is a study as it was answered on one day. It never changes.
type FrozenStudy struct {
	ID         string             `json:"id"`
	StudyID    string             `json:"studyId"`
	Number     int                `json:"number"` // 1, 2, ... within the study
	Name       string             `json:"name"`
	Question   string             `json:"question"`
	Definition outcome.Definition `json:"definition"`
	// Hash is the SHA-256 of the canonical JSON of the answer without ids of cases, DataHash that of the table of cases as
	// CSV; both in hex.
	Hash     string `json:"hash"`
	DataHash string `json:"dataHash"`
	Rules    string `json:"rules"` // version of the methods
	// Operators is how many people led the cases modelled, and Fewest how many at least led those of any figure in it (0: it was
	// not asked); they decide who may read it.
	Operators  int    `json:"operators"`
	Fewest     int    `json:"fewest,omitempty"`
	FrozenBy   string `json:"frozenBy"` // user id
	FrozenName string `json:"frozenName"`
	FrozenAt   int64  `json:"frozenAt"` // Unix ms
}

// FrozenContent is what was frozen, as bytes. It never changes.
type FrozenContent struct {
	JSON []byte
	HTML []byte
	PDF  []byte
	CSV  []byte
	XLSX []byte
}

// StudyTx keeps studies and what was frozen of them.
type StudyTx interface {
	Studies(ctx context.Context) ([]Study, error) // by id, with removed ones
	Study(ctx context.Context, id string) (Study, error)
	// LockStudy reads a study and holds off every other change to it until the transaction ends.
	LockStudy(ctx context.Context, id string) (Study, error)
	InsertStudy(ctx context.Context, study Study) error
	// UpdateStudy changes the study that still has the revision before the given one.
	UpdateStudy(ctx context.Context, study Study) error

	FrozenStudies(ctx context.Context) ([]FrozenStudy, error)                   // by id
	FrozenStudiesOf(ctx context.Context, studyID string) ([]FrozenStudy, error) // by number
	FrozenStudy(ctx context.Context, id string) (FrozenStudy, error)
	FrozenContent(ctx context.Context, id string) (FrozenContent, error)
	InsertFrozenStudy(ctx context.Context, frozen FrozenStudy, content FrozenContent) error
}

func (s *Study) normalise() {
	s.Name, s.Question = strings.TrimSpace(s.Name), strings.TrimSpace(s.Question)
}

func (s Study) validate() error {
	var p problems
	p.id("id", s.ID)
	p.text("name", s.Name, 1, 120)
	p.text("question", s.Question, 0, 1000)
	p.studied("definition.", s.Definition)
	return p.err("The study")
}

// studied checks a definition; before stands ahead of its fields. The methods judge what can be studied; whether the unit
// knows the words is judged here.
func (p *problems) studied(before string, d outcome.Definition) {
	for _, wrong := range d.Check() {
		p.add("definition", "asks for nothing that can be studied: %s", strings.TrimSuffix(wrong, "."))
	}
	if d.Outcome.Kind != outcome.Complication {
		oneOf(p, before+"outcome.window", Window(d.Outcome.Window), false, Windows...)
	} else if _, known := kindNamed(d.Outcome.Complication); !known && d.Outcome.Complication != "" && d.Outcome.Complication != cohort.CapsuleRupture {
		p.add(before+"outcome.complication", "is not a known complication")
	}
	for i, e := range d.Exposures {
		if e.Code != "" {
			p.id(fmt.Sprintf("%sexposures[%d].code", before, i), e.Code)
		}
	}
	in, of := before+"population.", d.Population
	oneOf(p, in+"technique", Technique(of.Technique), false, Techniques...)
	first, last := p.date(in+"from", of.From, false), p.date(in+"to", of.To, false)
	if first && last && of.To < of.From {
		p.add(in+"to", "lies before the first day")
	}
	for name, grade := range map[string]*int{"gradeFrom": of.GradeFrom, "gradeTo": of.GradeTo} {
		if grade != nil && (*grade < 1 || *grade > 5) {
			p.add(in+name, "must lie between 1 and 5")
		}
	}
	if of.GradeFrom != nil && of.GradeTo != nil && *of.GradeTo < *of.GradeFrom {
		p.add(in+"gradeTo", "lies below the first grade")
	}
}
