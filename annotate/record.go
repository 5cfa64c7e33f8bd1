package annotate

import (
	"context"
	"strings"

	"zonule/timeline"
)

// Record is what follows from the clinical record of a case. Nothing in it is rounded; nil means that it does not follow.
type Record struct {
	// Warnings are values that were kept and that a person should look at again. A field of a visit begins with
	// "visits[<id>]."; any other is a path in the case.
	Warnings   []FieldError     `json:"warnings"`
	Acuity     AcuityRecord     `json:"acuity"`
	Refraction RefractionRecord `json:"refraction"`
	Energy     EnergyRecord     `json:"energy"`
	// Risk is fitted to the unit when the unit says so; RiskPublished is then the risk as published, else nil.
	Risk          timeline.Risk    `json:"risk"`
	RiskPublished *timeline.Risk   `json:"riskPublished"`
	Rupture       RuptureJudgement `json:"rupture"`
	Completeness  Completeness     `json:"completeness"`
	// Endothelium holds the operated eye and then the fellow eye, each by date with the count before first.
	Endothelium []DensityPoint `json:"endothelium"`
	// CompareInstruments: counts from different instruments or methods are compared, because the case says so.
	CompareInstruments bool `json:"compareInstruments"`
}

// Converted is a typed acuity and what it means.
type Converted struct {
	timeline.Acuity
	Why string `json:"why"` // why it has no logMAR; "" when it has one
}

// AcuityRecord holds the acuities of a case; nil where none was typed.
type AcuityRecord struct {
	Before            *Converted    `json:"before"`
	UncorrectedBefore *Converted    `json:"uncorrectedBefore"`
	FellowEye         *Converted    `json:"fellowEye"`
	Visits            []VisitAcuity `json:"visits"` // those with an acuity, by date
}

// VisitAcuity is the acuity at one visit.
type VisitAcuity struct {
	VisitID     string     `json:"visitId"`
	Window      Window     `json:"window"`
	Date        string     `json:"date"`
	Corrected   *Converted `json:"corrected"`
	Uncorrected *Converted `json:"uncorrected"`
	// Gain is the corrected logMAR before minus that of the visit: above 0 the eye sees better.
	Gain *float64 `json:"gain"`
}

// RefractionRecord is the refraction before, in dioptres, and at the visits.
type RefractionRecord struct {
	SphericalEquivalent *float64              `json:"sphericalEquivalent"`
	Vector              *timeline.PowerVector `json:"vector"`
	Visits              []VisitRefraction     `json:"visits"` // those with a refraction, by date
}

// VisitRefraction is the refraction at one visit.
type VisitRefraction struct {
	VisitID             string                `json:"visitId"`
	Window              Window                `json:"window"`
	Date                string                `json:"date"`
	SphericalEquivalent *float64              `json:"sphericalEquivalent"`
	Vector              *timeline.PowerVector `json:"vector"`
	// FromTarget is the spherical equivalent minus the target: above 0 more hyperopic than aimed at.
	FromTarget *float64 `json:"fromTarget"`
}

// EnergyRecord sets the energy that follows from times and powers beside the entered one, which counts.
type EnergyRecord struct {
	CDEComputed          *float64 `json:"cdeComputed"`
	CDEDifferencePercent *float64 `json:"cdeDifferencePercent"`
	CDEDiffers           bool     `json:"cdeDiffers"`  // by more than 5 %
	EPTComputed          *float64 `json:"eptComputed"` // s
	EPTDifferencePercent *float64 `json:"eptDifferencePercent"`
	EPTDiffers           bool     `json:"eptDiffers"`
}

// Record computes what follows from the record of a case.
func (s *Service) Record(ctx context.Context, actor Actor, caseID string) (Record, error) {
	var record Record
	err := s.onCase(ctx, actor, caseID, CaseView, func(tx Tx, c seen) error {
		visits, err := tx.Visits(ctx, caseID)
		if err != nil {
			return err
		}
		complications, err := tx.Complications(ctx, caseID)
		if err != nil {
			return err
		}
		unit, err := unitOf(ctx, tx)
		record = RecordOf(unit, c.Case, visits, complications)
		return err
	})
	return record, err
}

// RecordOf computes what follows from a case of a unit, its visits, which come by date, and its complications.
func RecordOf(unit Unit, c Case, visits []Visit, complications []Complication) Record {
	record := Record{
		Warnings: DoubtsOf(c, visits), Acuity: acuityOf(c, visits), Refraction: refractionOf(c, visits),
		Energy: EnergyOf(c.Operation), Rupture: ruptureOf(complications), Completeness: CompletenessOf(c, visits),
		Endothelium: densitiesOf(unit, c, visits), CompareInstruments: c.CompareInstruments,
	}
	record.Risk, record.RiskPublished = unit.RiskOf(c)
	return record
}

// DoubtsOf collects what was kept and is doubtful, of the case and of its visits. No doubt depends on the day on which it
// is asked for.
func DoubtsOf(c Case, visits []Visit) []FieldError {
	p := c.check(c.Date)
	if c.Operation.TechniquePlanned != c.Operation.TechniquePerformed && strings.TrimSpace(c.Operation.ConversionReason) == "" {
		p.doubt("operation.conversionReason", "is missing although the technique was changed")
	}
	energy := EnergyOf(c.Operation)
	if energy.CDEDiffers {
		p.doubt("operation.cde", "differs by more than 5 percent from %.2f, which follows from times and powers; the entered value counts", *energy.CDEComputed)
	}
	if energy.EPTDiffers {
		p.doubt("operation.ept", "differs by more than 5 percent from %.2f s, which follows from time and power; the entered value counts", *energy.EPTComputed)
	}
	all := append([]FieldError{}, p.doubts...)
	for _, v := range visits {
		visit := v.check(c.Date, v.Date)
		for _, doubt := range visit.doubts {
			all = append(all, FieldError{Field: "visits[" + v.ID + "]." + doubt.Field, Message: doubt.Message})
		}
	}
	return all
}

// Convert reads a typed acuity; nil when nothing was typed.
func Convert(typed string) *Converted {
	if strings.TrimSpace(typed) == "" {
		return nil
	}
	acuity, err := timeline.ParseAcuity(typed, timeline.NotationAuto)
	switch {
	case err != nil:
		return &Converted{Acuity: timeline.Acuity{Typed: typed}, Why: err.Error()}
	case acuity.LogMAR == nil:
		return &Converted{Acuity: acuity, Why: "Light perception and none do not become numbers."}
	}
	return &Converted{Acuity: acuity}
}

func acuityOf(c Case, visits []Visit) AcuityRecord {
	record := AcuityRecord{Before: Convert(c.Before.Acuity), UncorrectedBefore: Convert(c.Before.UncorrectedAcuity), Visits: []VisitAcuity{}}
	if c.Before.FellowEye != nil {
		record.FellowEye = Convert(c.Before.FellowEye.Acuity)
	}
	for _, v := range visits {
		line := VisitAcuity{VisitID: v.ID, Window: v.Window, Date: v.Date, Corrected: Convert(v.Acuity), Uncorrected: Convert(v.UncorrectedAcuity)}
		if line.Corrected == nil && line.Uncorrected == nil {
			continue
		}
		if before, after := record.Before, line.Corrected; before != nil && after != nil && before.LogMAR != nil && after.LogMAR != nil {
			gain := *before.LogMAR - *after.LogMAR
			line.Gain = &gain
		}
		record.Visits = append(record.Visits, line)
	}
	return record
}

func refractionOf(c Case, visits []Visit) RefractionRecord {
	record := RefractionRecord{Visits: []VisitRefraction{}}
	record.SphericalEquivalent, record.Vector = c.Before.Refraction.computed()
	for _, v := range visits {
		if v.Refraction == nil {
			continue
		}
		line := VisitRefraction{VisitID: v.ID, Window: v.Window, Date: v.Date}
		line.SphericalEquivalent, line.Vector = v.Refraction.computed()
		if target := c.Operation.TargetRefraction; target != nil && line.SphericalEquivalent != nil {
			from := *line.SphericalEquivalent - *target
			line.FromTarget = &from
		}
		record.Visits = append(record.Visits, line)
	}
	return record
}
