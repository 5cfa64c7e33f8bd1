package annotate

import (
	"cmp"
	"context"
	"errors"
	"slices"

	"zonule/timeline/cohort"
	"zonule/timeline/outcome"
)

// StudyEntry is a study as somebody sees it.
type StudyEntry struct {
	Study
	OwnerName string `json:"ownerName"`
	Own       bool   `json:"own"`
	Frozen    int    `json:"frozen"` // how many times it was frozen, of which the viewer may read
}

// StudyFile is one study with what was frozen of it.
type StudyFile struct {
	Study  StudyEntry    `json:"study"`
	Frozen []FrozenStudy `json:"frozen"` // the latest first
}

// studyView is how far an actor sees studies.
type studyView struct {
	actor Actor
	lanes []cohort.Lane
}

func studyViewOf(ctx context.Context, tx Tx, actor Actor) (studyView, error) {
	lanes, err := lanesOf(ctx, tx, actor)
	return studyView{actor, lanes}, err
}

// resolve gives the definition with the id of the person whose cases it chooses; people whom the actor does not follow are
// not found.
func (v studyView) resolve(d outcome.Definition) (outcome.Definition, error) {
	if d.Population.Operator == "" {
		return d, nil
	}
	lane, err := laneOf(v.lanes, d.Population.Operator)
	d.Population.Operator = lane.Operator
	return d, err
}

// fewest is the least number of people who must have led the cases of which the actor is told; 0 for their own cases, and
// for who answers for the unit.
func (v studyView) fewest(d outcome.Definition) int {
	if d.Population.Operator == v.actor.ID || Can(v.actor, UnitSums, RelationNone) {
		return 0
	}
	return fewestOperators
}

// fewestOperators: among three people nobody can subtract their own cases and be left with those of one other. Source: our
// choice, as for the groups of comparisons.
const fewestOperators = 3

func (v studyView) sees(s Study) bool {
	_, err := v.resolve(s.Definition)
	return s.RemovedAt == 0 && (s.OwnerID == v.actor.ID || s.Shared && err == nil)
}

func (v studyView) reads(f FrozenStudy, s Study) bool {
	_, err := v.resolve(f.Definition)
	fewest := v.fewest(f.Definition)
	open := s.OwnerID == v.actor.ID || s.Shared || f.FrozenBy == v.actor.ID
	return open && err == nil && f.Operators >= fewest && (f.Fewest >= fewest || f.FrozenBy == v.actor.ID)
}

// readable gives those that the actor may read, the latest first.
func (v studyView) readable(all []FrozenStudy, studies map[string]Study) []FrozenStudy {
	list := []FrozenStudy{}
	for _, f := range all {
		if v.reads(f, studies[f.StudyID]) {
			list = append(list, f)
		}
	}
	slices.SortStableFunc(list, func(a, b FrozenStudy) int {
		return cmp.Or(cmp.Compare(b.FrozenAt, a.FrozenAt), cmp.Compare(b.Number, a.Number))
	})
	return list
}

func (v studyView) entry(ctx context.Context, tx Tx, s Study, frozen []FrozenStudy) (StudyEntry, error) {
	owner, err := tx.User(ctx, s.OwnerID)
	entry := StudyEntry{Study: s, OwnerName: owner.Name, Own: s.OwnerID == v.actor.ID}
	for _, f := range frozen {
		if f.StudyID == s.ID {
			entry.Frozen++
		}
	}
	return entry, err
}

// Studies gives the studies that the actor sees, by name.
func (s *Service) Studies(ctx context.Context, actor Actor) ([]StudyEntry, error) {
	list := []StudyEntry{}
	err := s.withStudies(ctx, actor, func(tx Tx, v studyView, studies map[string]Study, frozen []FrozenStudy) error {
		for _, study := range studies {
			if !v.sees(study) {
				continue
			}
			entry, err := v.entry(ctx, tx, study, frozen)
			if err != nil {
				return err
			}
			list = append(list, entry)
		}
		return nil
	})
	slices.SortFunc(list, func(a, b StudyEntry) int { return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.ID, b.ID)) })
	return list, err
}

// FrozenStudies gives everything frozen that the actor may read, the latest first, also of studies that were taken away.
func (s *Service) FrozenStudies(ctx context.Context, actor Actor) ([]FrozenStudy, error) {
	list := []FrozenStudy{}
	err := s.withStudies(ctx, actor, func(_ Tx, _ studyView, _ map[string]Study, frozen []FrozenStudy) error {
		list = append(list, frozen...)
		return nil
	})
	return list, err
}

// withStudies runs fn with every study, by id, and what the actor may read of what was frozen.
func (s *Service) withStudies(ctx context.Context, actor Actor, fn func(tx Tx, v studyView, studies map[string]Study, frozen []FrozenStudy) error) error {
	if err := mayManage(actor, StudyUse); err != nil {
		return err
	}
	return s.store.Read(ctx, func(tx Tx) error {
		v, err := studyViewOf(ctx, tx, actor)
		if err != nil {
			return err
		}
		all, err := tx.Studies(ctx)
		if err != nil {
			return err
		}
		frozen, err := tx.FrozenStudies(ctx)
		if err != nil {
			return err
		}
		studies := make(map[string]Study, len(all))
		for _, study := range all {
			studies[study.ID] = study
		}
		return fn(tx, v, studies, v.readable(frozen, studies))
	})
}

// Study gives one study with what was frozen of it.
func (s *Service) Study(ctx context.Context, actor Actor, studyID string) (StudyFile, error) {
	if err := mayManage(actor, StudyUse); err != nil {
		return StudyFile{}, err
	}
	var file StudyFile
	err := s.store.Read(ctx, func(tx Tx) error {
		v, err := studyViewOf(ctx, tx, actor)
		if err != nil {
			return err
		}
		study, err := tx.Study(ctx, studyID)
		if study, err = found(study, err, v.sees(study), "study"); err != nil {
			return err
		}
		frozen, err := tx.FrozenStudiesOf(ctx, studyID)
		if err != nil {
			return err
		}
		file.Frozen = v.readable(frozen, map[string]Study{studyID: study})
		file.Study, err = v.entry(ctx, tx, study, file.Frozen)
		return err
	})
	return file, err
}

// PutStudy records a study (revision 0) or changes it: its owner may.
func (s *Service) PutStudy(ctx context.Context, actor Actor, study Study) (Study, error) {
	if err := mayManage(actor, StudyUse); err != nil {
		return Study{}, err
	}
	study.normalise()
	if err := study.validate(); err != nil {
		return Study{}, err
	}
	err := s.store.Write(ctx, func(tx Tx) error {
		v, err := studyViewOf(ctx, tx, actor)
		if err != nil {
			return err
		}
		if study.Definition, err = v.resolve(study.Definition); err != nil {
			return err
		}
		stored, err := tx.LockStudy(ctx, study.ID)
		fresh := errors.Is(err, ErrNoRow)
		switch {
		case fresh && study.Revision != 0:
			return notFound("study")
		case fresh:
			study.OwnerID, study.MadeAt = actor.ID, s.nowMs()
		case err != nil:
			return err
		default:
			if err := v.owns(stored); err != nil {
				return err
			}
			study.OwnerID, study.MadeAt = stored.OwnerID, stored.MadeAt
		}
		study.UpdatedAt, study.RemovedAt = stored.UpdatedAt, 0
		return s.keepStudy(ctx, tx, actor, &study, stored, fresh)
	})
	if err != nil {
		return Study{}, err
	}
	return study, nil
}

// owns refuses everybody but the owner.
func (v studyView) owns(stored Study) error {
	switch {
	case stored.OwnerID == v.actor.ID && stored.RemovedAt == 0:
		return nil
	case v.sees(stored):
		return Refuse(CodeForbidden, "Only its owner changes a study. Save it under another name as your own.")
	}
	return notFound("study")
}

func (s *Service) keepStudy(ctx context.Context, tx Tx, actor Actor, study *Study, stored Study, fresh bool) error {
	differences := Differences(stored, *study)
	if !fresh && len(differences) == 0 {
		return nil
	}
	if study.Revision != stored.Revision {
		return stale("The study", *study, stored)
	}
	study.Revision++
	study.UpdatedAt = s.nowMs()
	put, action := tx.UpdateStudy, "study.change"
	if fresh {
		put, action = tx.InsertStudy, "study.add"
	}
	if err := put(ctx, *study); errors.Is(err, ErrNotOne) || errors.Is(err, ErrDuplicate) {
		return stale("The study", *study, stored)
	} else if err != nil {
		return err
	}
	return s.record(ctx, tx, actor, AuditEntry{Action: action, ThingID: study.ID, Detail: detail(differences)})
}

// RemoveStudy takes a study away: its owner may. What was frozen of it stays.
func (s *Service) RemoveStudy(ctx context.Context, actor Actor, studyID string, revision int64) error {
	if err := mayManage(actor, StudyUse); err != nil {
		return err
	}
	return s.store.Write(ctx, func(tx Tx) error {
		v, err := studyViewOf(ctx, tx, actor)
		if err != nil {
			return err
		}
		stored, err := tx.LockStudy(ctx, studyID)
		if stored, err = found(stored, err, true, "study"); err != nil {
			return err
		}
		if err := v.owns(stored); err != nil {
			return err
		}
		if stored.Revision != revision {
			return stale("The study", map[string]int64{"revision": revision}, stored)
		}
		stored.Revision++
		stored.RemovedAt = s.nowMs()
		if err := tx.UpdateStudy(ctx, stored); err != nil {
			return err
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "study.remove", ThingID: studyID})
	})
}
