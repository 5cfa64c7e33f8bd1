package annotate

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// Import reads a bundle, all or nothing. A unit is read only into an empty one; a case is added to any unit that does
// not have it. Only the command line may.
func (s *Service) Import(ctx context.Context, actor Actor, r io.Reader) error {
	if err := mayManage(actor, BundleUse); err != nil {
		return err
	}
	err := s.store.Write(ctx, func(tx Tx) error {
		in := &bundleReader{service: s, tx: tx, actor: actor, decoder: json.NewDecoder(r)}
		return in.read(ctx)
	})
	switch {
	case errors.Is(err, ErrReferred):
		return badBundle("it refers to a person, a recording or a step list that it does not hold").Because(err)
	case errors.Is(err, ErrDuplicate):
		return Refuse(CodeTaken, "The bundle was not taken: something in it is in this unit already.").Because(err)
	}
	return err
}

func badBundle(format string, args ...any) *Error {
	return Refuse(CodeInvalid, "The bundle was not taken: %s.", fmt.Sprintf(format, args...))
}

// bundleReader reads a bundle field by field, so that a large one never stands in memory as a whole.
type bundleReader struct {
	service *Service
	tx      Tx
	actor   Actor
	decoder *json.Decoder
	head    BundleHead
	begun   bool // the head was taken
	cases   int
	last    AuditEntry
	entries []AuditEntry // of the import itself
}

func (b *bundleReader) read(ctx context.Context) error {
	if err := b.expect(json.Delim('{')); err != nil {
		return err
	}
	for b.decoder.More() {
		name, err := b.decoder.Token()
		if err != nil {
			return b.unreadable(err)
		}
		if err := b.field(ctx, name); err != nil {
			return err
		}
	}
	if err := b.expect(json.Delim('}')); err != nil {
		return err
	}
	if !b.begun {
		return badBundle("it holds no cases")
	}
	action := "unit.import"
	if b.head.Unit == nil {
		action = "case.import"
	}
	summary := jsonText(map[string]any{"cases": b.cases, "madeAt": b.head.MadeAt})
	entry := AuditEntry{Action: action, Detail: summary}
	return b.service.record(ctx, b.tx, b.actor, append(b.entries, entry)...)
}

func (b *bundleReader) unreadable(err error) error {
	return badBundle("it is not readable JSON near byte %d", b.decoder.InputOffset()).Because(err)
}

func (b *bundleReader) expect(want json.Delim) error {
	token, err := b.decoder.Token()
	if err != nil {
		return b.unreadable(err)
	}
	if token != want {
		return badBundle("it is not a bundle (expected %q near byte %d)", want.String(), b.decoder.InputOffset())
	}
	return nil
}

func (b *bundleReader) field(ctx context.Context, name any) error {
	into := map[any]any{
		"format": &b.head.Format, "version": &b.head.Version, "madeAt": &b.head.MadeAt, "unit": &b.head.Unit,
		"users": &b.head.Users, "stepLists": &b.head.StepLists, "reviews": &b.head.Reviews,
		"assessmentForms": &b.head.AssessmentForms, "goals": &b.head.Goals,
		"studies": &b.head.Studies,
	}
	if target, known := into[name]; known && !b.begun {
		if err := b.decoder.Decode(target); err != nil {
			return b.unreadable(err)
		}
		return nil
	}
	switch name {
	case "cases":
		if err := b.takeHead(ctx); err != nil {
			return err
		}
		return each(b, func(record CaseRecord) error { return b.takeCase(ctx, record) })
	case "frozenStudies":
		return each(b, func(record FrozenRecord) error { return b.takeFrozen(ctx, record) })
	case "meetings":
		return each(b, func(record MeetingRecord) error { return b.takeMeeting(ctx, record) })
	case "audit":
		return each(b, func(entry AuditEntry) error { return b.takeEntry(ctx, entry) })
	}
	return badBundle("it holds a field %q that does not belong there", name)
}

// each reads a list one element at a time; null is an empty one.
func each[T any](b *bundleReader, take func(T) error) error {
	token, err := b.decoder.Token()
	if err != nil {
		return b.unreadable(err)
	}
	if token == nil {
		return nil
	}
	if token != json.Delim('[') {
		return badBundle("it is not a bundle (expected a list near byte %d)", b.decoder.InputOffset())
	}
	for b.decoder.More() {
		var element T
		if err := b.decoder.Decode(&element); err != nil {
			return b.unreadable(err)
		}
		if err := take(element); err != nil {
			return err
		}
	}
	return b.expect(json.Delim(']'))
}

// takeHead checks what the bundle is and takes the unit, the people and the step lists.
func (b *bundleReader) takeHead(ctx context.Context) error {
	if b.begun {
		return badBundle("it holds the cases twice")
	}
	if b.head.Format != BundleFormat {
		return badBundle("it is not a bundle of Zonule, or its head does not come first")
	}
	if b.head.Version != BundleVersion {
		return badBundle("it has version %d and this program reads version %d; use the program that wrote it, or a newer one", b.head.Version, BundleVersion)
	}
	b.begun = true
	if b.head.Unit != nil {
		if err := b.takeUnit(ctx); err != nil {
			return err
		}
	} else if err := b.takePeople(ctx); err != nil {
		return err
	}
	for _, list := range b.head.StepLists {
		stored, err := b.tx.StepList(ctx, list.ref())
		if errors.Is(err, ErrNoRow) {
			if err := list.validate(); err != nil {
				return err
			}
			err = b.tx.InsertStepList(ctx, list)
		} else if err == nil && len(Differences(stored, list)) > 0 {
			return badBundle("its step list %s, version %d, is not the one of this unit", list.ID, list.Version)
		}
		if err != nil {
			return err
		}
	}
	return b.takeForms(ctx)
}

func (b *bundleReader) takeUnit(ctx context.Context) error {
	accounts, err := b.tx.Users(ctx)
	if err != nil {
		return err
	}
	ids, err := b.tx.CaseIDs(ctx)
	if err != nil {
		return err
	}
	last, err := b.tx.LastAudit(ctx)
	if err != nil {
		return err
	}
	if len(accounts) > 0 || len(ids) > 0 || last.Seq > 0 {
		return Refuse(CodeTaken, "The bundle was not taken: it holds a whole unit, and this one is not empty. Use a new database.")
	}
	var p problems
	validateWindows(&p, b.head.Unit.Windows)
	validateTriggers(&p, b.head.Unit.Triggers)
	validateSections(&p, b.head.Unit.ReportSections)
	if err := p.err("The unit"); err != nil {
		return err
	}
	stored, err := b.tx.Unit(ctx)
	if err != nil {
		return err
	}
	if err := b.tx.UpdateUnit(ctx, *b.head.Unit, stored.Revision); err != nil {
		return err
	}
	for _, account := range b.head.Users {
		if err := account.validate(); err != nil {
			return err
		}
		if err := b.tx.InsertUser(ctx, account); err != nil {
			return err
		}
	}
	for _, review := range b.head.Reviews {
		if err := review.validate(b.service.today()); err != nil {
			return err
		}
		if err := b.tx.InsertMonitoringReview(ctx, review); err != nil {
			return err
		}
	}
	if err := b.takeGoals(ctx); err != nil {
		return err
	}
	return b.takeStudies(ctx)
}

// takePeople adds the people of a case that this unit does not know, as accounts that cannot sign in.
func (b *bundleReader) takePeople(ctx context.Context) error {
	for _, account := range b.head.Users {
		_, err := b.tx.User(ctx, account.ID)
		if err == nil {
			continue
		}
		if !errors.Is(err, ErrNoRow) {
			return err
		}
		account.Login = "imported-" + account.ID
		account.Login = account.Login[:min(len(account.Login), 60)]
		account.Active, account.PasswordHash, account.Revision = false, "", 1
		account.normalise()
		if err := account.validate(); err != nil {
			return err
		}
		if err := b.tx.InsertUser(ctx, account); err != nil {
			return err
		}
	}
	return nil
}

// takeEntry takes an entry of the audit log of a unit, which must go on from the one before.
func (b *bundleReader) takeEntry(ctx context.Context, entry AuditEntry) error {
	if b.head.Unit == nil {
		return badBundle("a bundle of one case has no audit log")
	}
	if entry.Seq != b.last.Seq+1 || entry.PrevHash != b.last.Hash || entry.Hash != entry.chained() {
		return badBundle("entry %d of its audit log does not follow from the one before", entry.Seq)
	}
	b.last = entry
	return b.tx.InsertAudit(ctx, entry)
}
