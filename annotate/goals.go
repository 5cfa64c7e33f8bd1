package annotate

import (
	"cmp"
	"context"
	"errors"
	"slices"
)

// mayFollow refuses to tell of a person's training to anybody but that person and the trainers who supervised them.
func mayFollow(ctx context.Context, tx Tx, actor Actor, personID string) error {
	if actor.ID == personID {
		return nil
	}
	if !actor.Has(RoleTrainer) {
		return notFound("person")
	}
	supervises, err := tx.Supervises(ctx, actor.ID, personID)
	if err == nil && !supervises {
		err = notFound("person")
	}
	return err
}

// Followed gives the people of whose training the actor may read: first themself, if they operate, then, for a trainer, those
// whom they supervised, by name.
func (s *Service) Followed(ctx context.Context, actor Actor) ([]Person, error) {
	if err := present(actor); err != nil {
		return nil, err
	}
	followed := []Person{}
	if actor.Has(thePeople...) {
		followed = append(followed, actor.Person())
	}
	if !actor.Has(RoleTrainer) {
		return followed, nil
	}
	others := []Person{}
	err := s.store.Read(ctx, func(tx Tx) error {
		accounts, err := tx.Users(ctx)
		if err != nil {
			return err
		}
		for _, account := range accounts {
			if account.ID == actor.ID {
				continue
			}
			supervises, err := tx.Supervises(ctx, actor.ID, account.ID)
			if err != nil {
				return err
			}
			if supervises {
				others = append(others, account.Person())
			}
		}
		return nil
	})
	slices.SortFunc(others, func(a, b Person) int { return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.ID, b.ID)) })
	return append(followed, others...), err
}

// Goals gives the goals of a person: open ones first, then the latest.
func (s *Service) Goals(ctx context.Context, actor Actor, personID string) ([]Goal, error) {
	if err := present(actor); err != nil {
		return nil, err
	}
	goals := []Goal{}
	err := s.store.Read(ctx, func(tx Tx) error {
		if err := mayFollow(ctx, tx, actor, personID); err != nil {
			return err
		}
		all, err := tx.Goals(ctx, personID)
		goals = append(goals, all...)
		return err
	})
	slices.SortStableFunc(goals, func(a, b Goal) int {
		if open := cmp.Compare(closed(a), closed(b)); open != 0 {
			return open
		}
		return cmp.Compare(b.AgreedOn, a.AgreedOn)
	})
	return goals, err
}

func closed(g Goal) int {
	if g.State == GoalOpen {
		return 0
	}
	return 1
}

// PutGoal records a goal (revision 0) or changes it: the trainee and the trainers who supervised them may.
func (s *Service) PutGoal(ctx context.Context, actor Actor, goal Goal) (Goal, error) {
	if err := present(actor); err != nil {
		return Goal{}, err
	}
	if err := goal.validate(s.today()); err != nil {
		return Goal{}, err
	}
	err := s.store.Write(ctx, func(tx Tx) error {
		if err := mayFollow(ctx, tx, actor, goal.TraineeID); err != nil {
			return err
		}
		stored, err := tx.Goal(ctx, goal.ID)
		fresh := errors.Is(err, ErrNoRow)
		switch {
		case fresh && goal.Revision != 0:
			return notFound("goal")
		case fresh:
			goal.AuthorID = actor.ID
		case err != nil:
			return err
		case stored.TraineeID != goal.TraineeID:
			return notFound("goal")
		default:
			goal.AuthorID, goal.ClosedOn = stored.AuthorID, stored.ClosedOn
		}
		switch {
		case goal.State == GoalOpen:
			goal.ClosedOn = ""
		case goal.ClosedOn == "":
			goal.ClosedOn = s.today()
		}
		return s.keepGoal(ctx, tx, actor, &goal, stored, fresh)
	})
	if err != nil {
		return Goal{}, err
	}
	return goal, nil
}

func (s *Service) keepGoal(ctx context.Context, tx Tx, actor Actor, goal *Goal, stored Goal, fresh bool) error {
	differences := Differences(stored, *goal)
	if !fresh && len(differences) == 0 {
		return nil
	}
	if goal.Revision != stored.Revision {
		return stale("The goal", *goal, stored)
	}
	goal.Revision++
	put, action := tx.UpdateGoal, "goal.change"
	if fresh {
		put, action = tx.InsertGoal, "goal.add"
	}
	if err := put(ctx, *goal); errors.Is(err, ErrNotOne) || errors.Is(err, ErrDuplicate) {
		return stale("The goal", *goal, stored)
	} else if err != nil {
		return err
	}
	return s.record(ctx, tx, actor, AuditEntry{Action: action, ThingID: goal.ID, Detail: detail(differences)})
}
