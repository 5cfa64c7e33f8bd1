package annotate

import (
	"context"
	"errors"
)

// Unit is the department that this installation serves.
type Unit struct {
	Name     string `json:"name"`
	Revision int64  `json:"revision"`
	// LossLimitPercent: an endothelial loss above it is flagged.
	LossLimitPercent float64 `json:"lossLimitPercent"`
	// DensityLimit: a cell density below it (cells/mm2) is flagged.
	DensityLimit float64 `json:"densityLimit"`
	// Invented: everything in the unit is made up.
	Invented bool `json:"invented"`
}

// Unit gives the unit; anybody may know it.
func (s *Service) Unit(ctx context.Context) (Unit, error) {
	var unit Unit
	err := s.store.Read(ctx, func(tx Tx) (err error) {
		unit, err = tx.Unit(ctx)
		return err
	})
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
	if err := p.err("The unit"); err != nil {
		return Unit{}, err
	}
	err := s.store.Write(ctx, func(tx Tx) error {
		stored, err := tx.Unit(ctx)
		if err != nil {
			return err
		}
		if stored.Revision != unit.Revision {
			return stale("The unit", unit, stored)
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
		return s.record(ctx, tx, actor, AuditEntry{Action: "unit.change", Detail: detail(differences)})
	})
	return unit, err
}
