package annotate

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// shippedStepLists are the lists that the program carries.
var shippedStepLists = []StepList{mustRead[StepList]("steplists/phaco.json"), mustRead[StepList]("steplists/msics.json")}

// stagesKnown are the six stages that every list is grouped in, because stages are compared across lists.
var stagesKnown = []string{"opening", "capsule", "nucleus", "cortex", "lens", "closing"}

// EnsureStepLists stores the shipped lists that are not there yet.
func (s *Service) EnsureStepLists(ctx context.Context) error {
	return s.store.Write(ctx, func(tx Tx) error {
		for _, list := range shippedStepLists {
			_, err := tx.StepList(ctx, list.ref())
			if err == nil {
				continue
			}
			if !errors.Is(err, ErrNoRow) {
				return err
			}
			list.CreatedAt = s.nowMs()
			// Another server may be storing it at the same moment.
			if err := tx.InsertStepList(ctx, list); err != nil && !errors.Is(err, ErrDuplicate) {
				return err
			}
		}
		return nil
	})
}

func (l StepList) ref() StepListRef { return StepListRef{ID: l.ID, Version: l.Version} }

// StepLists gives the newest version of each list, by name.
func (s *Service) StepLists(ctx context.Context, actor Actor) ([]StepList, error) {
	if err := present(actor); err != nil {
		return nil, err
	}
	newest := []StepList{}
	err := s.store.Read(ctx, func(tx Tx) error {
		lists, err := tx.StepLists(ctx)
		for i, list := range lists {
			if i+1 == len(lists) || lists[i+1].ID != list.ID {
				newest = append(newest, list)
			}
		}
		return err
	})
	slices.SortFunc(newest, func(a, b StepList) int { return strings.Compare(a.Name+"\x00"+a.ID, b.Name+"\x00"+b.ID) })
	return newest, err
}

// StepList gives one version of a list.
func (s *Service) StepList(ctx context.Context, actor Actor, ref StepListRef) (StepList, error) {
	if err := present(actor); err != nil {
		return StepList{}, err
	}
	var list StepList
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		list, err = tx.StepList(ctx, ref)
		if errors.Is(err, ErrNoRow) {
			return notFound("step list")
		}
		return err
	})
	return list, err
}

// PutStepList stores the list as a new version: version 1 of a new id, which is a copy, or the next version of one that
// is there. For a change the version sent is the one that it is based on. What is stored never changes.
func (s *Service) PutStepList(ctx context.Context, actor Actor, list StepList) (StepList, error) {
	if err := mayManage(actor, StepListEdit); err != nil {
		return StepList{}, err
	}
	if err := list.validate(); err != nil {
		return StepList{}, err
	}
	err := s.store.Write(ctx, func(tx Tx) error {
		lists, err := tx.StepLists(ctx)
		if err != nil {
			return err
		}
		var newest StepList
		for _, stored := range lists {
			if stored.ID == list.ID {
				newest = stored
			}
		}
		if newest.Version > 0 && newest.Version != list.Version {
			return stale("The step list", list, newest)
		}
		if newest.Shipped {
			var p problems
			p.add("id", "belongs to a shipped list; copy the list under another id and change the copy")
			return p.err("The step list")
		}
		list.Shipped, list.CreatedAt = false, newest.CreatedAt
		differences := Differences(newest, list)
		if newest.Version > 0 && len(differences) == 0 {
			list = newest
			return nil
		}
		list.Version, list.CreatedAt = newest.Version+1, s.nowMs()
		if err := tx.InsertStepList(ctx, list); err != nil {
			return err
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "step-list.change", ThingID: list.ID, Detail: detail(differences)})
	})
	if errors.Is(err, ErrDuplicate) {
		err = Refuse(CodeTaken, "Somebody else changed this step list at the same moment; look at it again.")
	}
	if err != nil {
		return StepList{}, err
	}
	return list, nil
}

func (l StepList) validate() error {
	var p problems
	p.id("id", l.ID)
	p.text("name", l.Name, 1, 120)
	oneOf(&p, "technique", l.Technique, true, Techniques...)
	stages := map[string]bool{}
	for i, stage := range l.Stages {
		field := fmt.Sprintf("stages[%d].", i)
		oneOf(&p, field+"code", stage.Code, true, stagesKnown...)
		p.text(field+"name", stage.Name, 1, 60)
		if stages[stage.Code] {
			p.add(field+"code", "stands twice")
		}
		stages[stage.Code] = true
	}
	taken := uses{p: &p, codes: map[string]bool{}, keys: map[string]bool{}}
	for i, step := range l.Steps {
		field := fmt.Sprintf("steps[%d].", i)
		taken.check(field, step.Code, step.Name, step.Key, 'a', 'z')
		p.text(field+"begins", step.Begins, 1, 200)
		p.text(field+"ends", step.Ends, 1, 200)
		if !stages[step.Stage] {
			p.add(field+"stage", "is not one of the list's stages")
		}
	}
	taken.codes = map[string]bool{}
	for i, kind := range l.EventKinds {
		taken.check(fmt.Sprintf("eventKinds[%d].", i), kind.Code, kind.Name, kind.Key, '0', '9')
	}
	if !taken.codes[EventConversion] {
		p.add("eventKinds", "must hold the kind %s, at which one technique gives way to another", EventConversion)
	}
	if len(l.Steps) == 0 {
		p.add("steps", "must hold at least one step")
	}
	return p.err("The step list")
}

// uses finds codes and keys that are used twice.
type uses struct {
	p           *problems
	codes, keys map[string]bool
}

func (u uses) check(field, code, name, key string, first, last byte) {
	u.p.id(field+"code", code)
	u.p.text(field+"name", name, 1, 80)
	if len(key) != 1 || key[0] < first || key[0] > last {
		u.p.add(field+"key", "must be one character from %c to %c", first, last)
	}
	if u.codes[code] {
		u.p.add(field+"code", "%q is used twice", code)
	}
	if u.keys[key] {
		u.p.add(field+"key", "%q is used twice", key)
	}
	u.codes[code], u.keys[key] = true, true
}

// step finds a step by its code.
func (l StepList) step(code string) (Step, bool) {
	at := slices.IndexFunc(l.Steps, func(s Step) bool { return s.Code == code })
	if at < 0 {
		return Step{}, false
	}
	return l.Steps[at], true
}

func (l StepList) hasEventKind(code string) bool {
	return slices.ContainsFunc(l.EventKinds, func(k EventKind) bool { return k.Code == code })
}
