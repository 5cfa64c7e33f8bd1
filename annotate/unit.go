package annotate

import (
	"context"
	"errors"
	"slices"
)

// Unit is the department that this installation serves.
type Unit struct {
	Name     string `json:"name"`
	Revision int64  `json:"revision"`
	// LossLimitPercent: an endothelial loss above it is flagged.
	LossLimitPercent float64 `json:"lossLimitPercent"`
	// DensityLimit: a cell density below it (cells/mm2) is flagged.
	DensityLimit float64 `json:"densityLimit"`
	// Windows is the plan of follow-up, in the order of the visits. A change that leaves it out keeps the one that stands.
	Windows []WindowPlan `json:"windows" required:"false"`
	// Recalibration fits the published risk to the unit; null: never asked for. A change that leaves it out keeps the one
	// that stands.
	Recalibration *Recalibration `json:"recalibration" required:"false"`
	// Triggers say which cases come to the meeting by themselves. A change that leaves them out keeps those that stand.
	Triggers []TriggerRule `json:"triggers" required:"false"`
	// ReportSections are the parts of the letter in the order of the unit's reports, by their code; empty: all in the usual
	// order. A change that leaves it out keeps the one that stands.
	ReportSections []string `json:"reportSections" required:"false"`
	// Invented: everything in the unit is made up.
	Invented bool `json:"invented"`
}

// Unit gives the unit; anybody may know it.
func (s *Service) Unit(ctx context.Context) (Unit, error) {
	var unit Unit
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		unit, err = unitOf(ctx, tx)
		return err
	})
	return unit, err
}

// unitOf reads the unit; one that made no plan of follow-up, or no rules for the meeting, has the usual ones.
func unitOf(ctx context.Context, tx Tx) (Unit, error) {
	unit, err := tx.Unit(ctx)
	if unit.Windows == nil {
		unit.Windows = UsualWindows
	}
	unit.Triggers = wholeTriggers(unit.Triggers)
	unit.ReportSections = chosenSections(unit.ReportSections, nil)
	return unit, err
}

// PutUnit changes the unit; administrators may.
func (s *Service) PutUnit(ctx context.Context, actor Actor, unit Unit) (Unit, error) {
	if err := mayManage(actor, UnitEdit); err != nil {
		return Unit{}, err
	}
	var p problems
	p.text("name", unit.Name, 1, 120)
	p.number("lossLimitPercent", "unit.lossLimitPercent", unit.LossLimitPercent)
	p.number("densityLimit", "unit.densityLimit", unit.DensityLimit)
	validateWindows(&p, unit.Windows)
	validateTriggers(&p, unit.Triggers)
	validateSections(&p, unit.ReportSections)
	if err := p.err("The unit"); err != nil {
		return Unit{}, err
	}
	err := s.store.Write(ctx, func(tx Tx) error {
		stored, err := unitOf(ctx, tx)
		if err != nil {
			return err
		}
		if stored.Revision != unit.Revision {
			return stale("The unit", unit, stored)
		}
		if unit.Windows == nil {
			unit.Windows = stored.Windows
		}
		if unit.Triggers == nil {
			unit.Triggers = stored.Triggers
		}
		unit.Triggers = wholeTriggers(unit.Triggers)
		unit.ReportSections = chosenSections(unit.ReportSections, stored.ReportSections)
		if err := s.takeRecalibration(ctx, tx, &unit, stored); err != nil {
			return err
		}
		differences := Differences(stored, unit)
		if len(differences) == 0 {
			return nil
		}
		unit.Revision++
		if err := tx.UpdateUnit(ctx, unit, stored.Revision); errors.Is(err, ErrNotOne) {
			return stale("The unit", unit, stored)
		} else if err != nil {
			return err
		}
		if !slices.Equal(stored.Windows, unit.Windows) {
			if err := planAnew(ctx, tx, unit.Windows); err != nil {
				return err
			}
		}
		return s.record(ctx, tx, actor, AuditEntry{Action: "unit.change", Detail: detail(differences)})
	})
	return unit, err
}

// planAnew says of every case which visit it owes under a new plan.
func planAnew(ctx context.Context, tx Tx, plans []WindowPlan) error {
	ids, err := tx.CaseIDs(ctx)
	if err != nil {
		return err
	}
	for _, id := range ids {
		c, err := tx.LockCase(ctx, id)
		if err != nil {
			return err
		}
		visits, err := tx.Visits(ctx, id)
		if err != nil {
			return err
		}
		window, dueOn, lateOn := nextVisit(plans, c, visits)
		if err := tx.UpdateDue(ctx, id, window, dueOn, lateOn); err != nil {
			return err
		}
	}
	return nil
}
