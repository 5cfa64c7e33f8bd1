package annotate

import (
	"context"

	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// Inquiry is a study that is ready to be answered for one person, from the cases as they stood when it was made ready.
type Inquiry struct {
	definition outcome.Definition
	rows       []cohort.Row
	names      outcome.Names
	seen       sight
	fewest     int // people who must have led the cases
	turns      chan struct{}
}

// answersAtOnce bounds how many studies one server answers at the same time, and so the memory that they take. Who comes
// later waits their turn.
const answersAtOnce = 2

// StudyAnswer is what a study found.
type StudyAnswer struct {
	// Result names the cases whose readings the actor sees.
	Result outcome.Result
	// Table is the analysis table, without columns when Withheld. It tells who led which cases apart only where everything is
	// told: among others the few cases of one person would be theirs to be known by.
	Table outcome.Analysis
	// Withheld: too few people led the cases for anything to be told; Result.Why says so.
	Withheld bool
	// Operators is how many people are known to have led the cases modelled, Fewest how many must have led those of any figure.
	Operators int
	Fewest    int
}

// Inquire makes a definition ready to be answered. Its operator is "", "me" or somebody whom the actor supervised in training.
func (s *Service) Inquire(ctx context.Context, actor Actor, d outcome.Definition) (*Inquiry, error) {
	if err := mayManage(actor, StudyUse); err != nil {
		return nil, err
	}
	var p problems
	p.studied("", d)
	if err := p.asked("The study"); err != nil {
		return nil, err
	}
	q := &Inquiry{turns: s.answering}
	var all *cohort.Cohort
	err := s.store.Read(ctx, func(tx Tx) error {
		v, err := studyViewOf(ctx, tx, actor)
		if err != nil {
			return err
		}
		if q.definition, err = v.resolve(d); err != nil {
			return err
		}
		q.fewest = v.fewest(q.definition)
		if all, err = s.snapshot.cohort(ctx, tx); err != nil {
			return err
		}
		if q.seen, err = sightOf(ctx, tx, actor, ReadingView); err != nil {
			return err
		}
		lists, err := tx.StepLists(ctx)
		q.names = wordsOf(lists)
		return err
	})
	if err != nil {
		return nil, err
	}
	q.rows = all.Rows()
	return q, nil
}

// Answer answers the study; progress, which may be nil, is told how many of its exposures are done. It ends early with the
// error of the context.
func (q *Inquiry) Answer(ctx context.Context, progress func(done, of int)) (StudyAnswer, error) {
	select {
	case q.turns <- struct{}{}:
		defer func() { <-q.turns }()
	case <-ctx.Done():
		return StudyAnswer{}, ctx.Err()
	}
	answer := StudyAnswer{Table: outcome.Table(q.rows, q.definition, q.names), Fewest: q.fewest}
	var err error
	options := outcome.Options{Operators: q.fewest, Names: q.names, Progress: progress}
	if answer.Result, err = outcome.StudyContext(ctx, q.rows, q.definition, options); err != nil {
		return StudyAnswer{}, err
	}
	answer.Operators = answer.Result.Operators
	switch answer.Withheld = answer.Result.Withheld; {
	case answer.Withheld:
		answer.Table = outcome.Analysis{Columns: []outcome.Column{}, Rows: [][]string{}}
	case q.fewest > 0:
		answer.Table = answer.Table.Without("operator")
	}
	answer.Result.Hide(q.seen.sees)
	return answer, nil
}

// ForAll is the same question answered as it may be told to everybody who may ask it; open is false where that is as the actor
// is told it.
func (q *Inquiry) ForAll() (all *Inquiry, open bool) {
	if q.definition.Population.Operator != "" || q.fewest >= fewestOperators {
		return q, false
	}
	told := *q
	told.fewest = fewestOperators
	return &told, true
}

// Names gives the words of the unit for the codes of the study.
func (q *Inquiry) Names() outcome.Names { return q.names }
