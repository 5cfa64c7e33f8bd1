package annotate

import (
	"cmp"
	"context"
	"slices"
)

// TallyRow is what the record of the unit needs of one operation.
type TallyRow struct {
	ID        string
	Pseudonym string
	Eye       Eye
	Date      string
	Named     bool // the case names the viewer or is shared with them
	Signed    bool
	Lost      bool // to follow-up
	DueOn     string
	LateOn    string
	Seen      bool // at one visit at least
	Items     ItemFacts
	Kinds     []string // codes of the complications, each once
}

// tally is a set of operations, the newest first.
type tally struct{ rows []TallyRow }

// tallyOf reads the operations that a query asks for. Facts made by other rules are made anew, and not kept.
func (s *Service) tallyOf(ctx context.Context, tx Tx, query CaseQuery) (tally, error) {
	query.Today = s.today()
	rows, err := tx.TallyRows(ctx, query)
	for i, row := range rows {
		if err != nil {
			break
		}
		if row.Items.Rules != itemRules {
			rows[i].Items, err = freshItems(ctx, tx, row.ID)
		}
	}
	// Sorted here, because a database compares texts by the rules of a language, which takes longer than to read them.
	slices.SortFunc(rows, func(a, b TallyRow) int { return cmp.Or(cmp.Compare(b.Date, a.Date), cmp.Compare(b.ID, a.ID)) })
	return tally{rows}, err
}

func freshItems(ctx context.Context, tx Tx, caseID string) (ItemFacts, error) {
	c, err := tx.Case(ctx, caseID)
	if err != nil {
		return ItemFacts{}, err
	}
	visits, err := tx.Visits(ctx, caseID)
	return itemFactsOf(c, visits), err
}

// ruptured reports whether a complication counts under the audit definition.
func (r TallyRow) ruptured() bool {
	for _, code := range r.Kinds {
		if kind, _ := kindNamed(code); kind.CapsuleRupture {
			return true
		}
	}
	return false
}

// known gives the published chances (fractions) of the operations whose every factor is known, and the ruptures among
// them.
func (t tally) known() (chances []float64, ruptures int) {
	for _, row := range t.rows {
		chance, known := row.Items.chance()
		if !known {
			continue
		}
		chances = append(chances, chance)
		if row.ruptured() {
			ruptures++
		}
	}
	return chances, ruptures
}

// count counts the operations of which something is true.
func (t tally) count(is func(TallyRow) bool) int {
	n := 0
	for _, row := range t.rows {
		if is(row) {
			n++
		}
	}
	return n
}
