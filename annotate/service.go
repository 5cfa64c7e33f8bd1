package annotate

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"time"
)

// Media looks at recordings where they lie. Its refusals are *Error with CodeMedia.
type Media interface {
	Probe(ctx context.Context, source string) (MediaFacts, error)
	// State tells whether the recording is still what known says, with the reason in words when it is not.
	State(ctx context.Context, source string, known MediaFacts) (PartState, string, error)
}

// Options is what a service is made of; all fields must be there.
type Options struct {
	Store         Store
	Now           func() time.Time
	NewID         func() string
	Media         Media
	HashPassword  func(password string) (string, error)
	CheckPassword func(password, hash string) (bool, error)
}

// Service does what people ask for: it checks who may, whether it is valid, and keeps it together with its audit entry.
// It is safe for use by several goroutines.
type Service struct {
	store         Store
	now           func() time.Time
	newID         func() string
	media         Media
	hashPassword  func(string) (string, error)
	checkPassword func(string, string) (bool, error)
	// unknownHash is compared with when the login is unknown, so that the answer takes as long.
	unknownHash func() (string, error)
	snapshot    snapshot
	answering   chan struct{} // holds one for each study that is being answered
	// drawnNone is the last look for good cases that found none.
	drawnNone atomic.Pointer[drawing]
}

// NewService joins the parts.
func NewService(o Options) *Service {
	return &Service{
		store: o.Store, now: o.Now, newID: o.NewID, media: o.Media,
		hashPassword: o.HashPassword, checkPassword: o.CheckPassword, answering: make(chan struct{}, answersAtOnce),
		unknownHash: sync.OnceValues(func() (string, error) { return o.HashPassword(o.NewID()) }),
	}
}

func (s *Service) nowMs() int64 { return s.now().UnixMilli() }

// today is the date at the unit, which is that of the server's clock.
func (s *Service) today() string { return s.now().Format(time.DateOnly) }

// seen is a case that the actor may see.
type seen struct {
	Case
	relation Relation
	actor    Actor
}

func (c seen) can(action Action) bool { return Can(c.actor, action, c.relation) }

// see checks that the actor may see a case that was read, and do the action to it.
func see(actor Actor, c Case, err error, action Action) (seen, error) {
	if errors.Is(err, ErrNoRow) {
		return seen{}, notFound("case")
	}
	if err != nil {
		return seen{}, err
	}
	found := seen{Case: c, relation: RelationTo(actor.User, c), actor: actor}
	if !found.can(CaseView) {
		return seen{}, notFound("case")
	}
	if !found.can(action) {
		return seen{}, forbidden(action)
	}
	return found, nil
}

// onCase runs fn on one consistent state in which the actor may do the action to the case.
func (s *Service) onCase(ctx context.Context, actor Actor, caseID string, action Action, fn func(tx Tx, c seen) error) error {
	if err := present(actor); err != nil {
		return err
	}
	return s.store.Read(ctx, func(tx Tx) error {
		c, err := tx.Case(ctx, caseID)
		found, err := see(actor, c, err, action)
		if err != nil {
			return err
		}
		return fn(tx, found)
	})
}

// work is one change to a case, in a transaction that holds off every other change to it.
type work struct {
	seen
	tx  Tx
	now int64
	// entries are written to the audit log after the change; a change without one did nothing.
	entries []AuditEntry
	// accepted is the accepted reading as the change leaves it, when the change has it at hand.
	accepted *ReadingState
}

// note adds an audit entry about a thing of the case.
func (w *work) note(action, thingID string, differences []Difference) {
	w.entries = append(w.entries, AuditEntry{Action: action, CaseID: w.ID, ThingID: thingID, Detail: detail(differences)})
}

// changeCase runs fn on a case to which the actor may do the action. When fn notes something, the facts of the case
// are made anew, its count of changes rises and the notes go to the audit log, all in one transaction.
func (s *Service) changeCase(ctx context.Context, actor Actor, caseID string, action Action, fn func(w *work) error) error {
	if err := present(actor); err != nil {
		return err
	}
	return s.store.Write(ctx, func(tx Tx) error { return s.changeIn(ctx, tx, actor, caseID, action, fn) })
}

// changeIn is changeCase within a transaction that has begun.
func (s *Service) changeIn(ctx context.Context, tx Tx, actor Actor, caseID string, action Action, fn func(w *work) error) error {
	c, err := tx.LockCase(ctx, caseID)
	found, err := see(actor, c, err, action)
	if err != nil {
		return err
	}
	w := &work{seen: found, tx: tx, now: s.nowMs()}
	if err := fn(w); err != nil {
		return err
	}
	return s.finish(ctx, w)
}

func (s *Service) finish(ctx context.Context, w *work) error {
	if len(w.entries) == 0 {
		return nil
	}
	if err := w.tx.TouchCase(ctx, w.ID, w.Change+1, w.now); err != nil {
		return err
	}
	if err := keepFacts(ctx, w.tx, w.ID, w.accepted); err != nil {
		return err
	}
	return s.record(ctx, w.tx, w.actor, w.entries...)
}

// found gives a stored thing only when it belongs to the case; otherwise, or when there is none, it is not found.
func found[T any](thing T, err error, belongs bool, what string) (T, error) {
	if errors.Is(err, ErrNoRow) || err == nil && !belongs {
		var none T
		return none, notFound(what)
	}
	return thing, err
}

// stale refuses a change to something that was changed since.
func stale(what string, yours, theirs any) error {
	return &Error{
		Code: CodeStale, Yours: yours, Theirs: theirs,
		Message: what + " was changed by somebody else since you opened it. Both versions are shown; nothing was saved.",
	}
}
