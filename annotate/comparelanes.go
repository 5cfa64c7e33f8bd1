package annotate

import (
	"cmp"
	"context"
	"slices"

	"zonule/timeline/cohort"
)

// Myself asks for the lane of whoever asks.
const Myself = "me"

// inTraining are the grades whose holders a trainer sees by name when they supervised them.
var inTraining = []Grade{GradeFellow, GradeSeniorTrainee, GradeJuniorTrainee}

// lanesOf gives the people whom the actor sees by name: first themself, then, for a trainer, those whom they supervised
// in training, by name. Speed never orders them.
func lanesOf(ctx context.Context, tx Tx, actor Actor) ([]cohort.Lane, error) {
	lanes := []cohort.Lane{}
	if actor.Has(thePeople...) || actor.Has(RoleChair) {
		lanes = append(lanes, cohort.Lane{Operator: actor.ID, Name: "You", Own: true})
	}
	if !actor.Has(RoleTrainer) {
		return lanes, nil
	}
	ids, err := tx.Supervised(ctx, actor.ID, inTraining)
	if err != nil {
		return nil, err
	}
	accounts, err := tx.Users(ctx)
	if err != nil {
		return nil, err
	}
	for _, account := range accounts {
		if account.ID != actor.ID && slices.Contains(ids, account.ID) {
			lanes = append(lanes, cohort.Lane{Operator: account.ID, Name: account.Name})
		}
	}
	slices.SortFunc(lanes[1:], func(a, b cohort.Lane) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Operator, b.Operator))
	})
	return lanes, nil
}

// laneOf finds the lane of a person.
func laneOf(lanes []cohort.Lane, operator string) (cohort.Lane, error) {
	at := slices.IndexFunc(lanes, func(l cohort.Lane) bool { return l.Operator == operator || l.Own && operator == Myself })
	if at < 0 {
		return cohort.Lane{}, notFound("person")
	}
	return lanes[at], nil
}

// sight is which cases an actor may see.
type sight struct {
	all   bool
	cases map[string]bool
}

// sightOf gives the cases to which the actor may do the action.
func sightOf(ctx context.Context, tx Tx, actor Actor, action Action) (sight, error) {
	if Can(actor, action, RelationNone) {
		return sight{all: true}, nil
	}
	found := sight{cases: map[string]bool{}}
	if !Can(actor, action, RelationShared) {
		return found, nil
	}
	ids, err := tx.CasesNaming(ctx, actor.ID)
	for _, id := range ids {
		found.cases[id] = true
	}
	return found, err
}

func (s sight) sees(caseID string) bool { return s.all || s.cases[caseID] }

// hide blanks the id of a case that may not be seen.
func (s sight) hide(caseID *string) {
	if !s.sees(*caseID) {
		*caseID = ""
	}
}
