package timeline

import (
	"errors"
	"math"
)

// Ultrasound is time with ultrasound on and its mean power.
type Ultrasound struct {
	Seconds float64 `json:"seconds"`
	Power   float64 `json:"power"` // mean power or amplitude, as a fraction from 0 to 1
}

// ErrUltrasound is returned for a negative time or a power that is not a fraction.
var ErrUltrasound = errors.New("ultrasound needs a time of 0 s or more and a mean power from 0 to 1")

func (u Ultrasound) valid() bool {
	return u.Seconds >= 0 && !math.IsInf(u.Seconds, 1) && u.Power >= 0 && u.Power <= 1
}

// torsionalFactor weights torsional time. Source: from memory; its ratio confirmed by measurement, 24 against 61 for
// the same minute (Ricks RG et al., Med Devices 2024;17:339-48; found).
const torsionalFactor = 0.4

// CDE is cumulative dissipated energy: longitudinal time x mean power + 0.4 x torsional time x mean amplitude. It has no
// unit and is not a physical energy. It is never derived from the time of a step in the video, which is not ultrasound
// time. Source: from memory (machine definition repeated in papers).
func CDE(longitudinal, torsional Ultrasound) (float64, error) {
	if !longitudinal.valid() || !torsional.valid() {
		return 0, ErrUltrasound
	}
	return longitudinal.Seconds*longitudinal.Power + torsionalFactor*torsional.Seconds*torsional.Power, nil
}

// EPT is effective phaco time, the seconds at full power: ultrasound time x mean power. Source: from memory.
func EPT(u Ultrasound) (float64, error) {
	if !u.valid() {
		return 0, ErrUltrasound
	}
	return u.Seconds * u.Power, nil
}

// EnergyFigure is one energy value with where it comes from. Makers report different quantities: compare only the same
// quantity of the same machine family.
type EnergyFigure struct {
	Value    *float64 `json:"value"`
	Source   string   `json:"source"` // "entered", "computed" or ""
	Entered  *float64 `json:"entered"`
	Computed *float64 `json:"computed"`
	// DifferencePercent is computed against entered, in percent of entered; nil without both or when entered is 0.
	DifferencePercent *float64 `json:"differencePercent"`
	Disagree          bool     `json:"disagree"` // by more than 5 %
}

// energyTolerance is in percent. Source: our definition.
const energyTolerance = 5

// Reconcile prefers the entered value, which was read off the machine, and tells when the computed one disagrees.
func Reconcile(entered, computed *float64) EnergyFigure {
	figure := EnergyFigure{Entered: entered, Computed: computed}
	switch {
	case entered != nil:
		figure.Value, figure.Source = entered, "entered"
	case computed != nil:
		figure.Value, figure.Source = computed, "computed"
	}
	if entered == nil || computed == nil {
		return figure
	}
	apart := *computed - *entered
	figure.Disagree = math.Abs(apart)*100 > energyTolerance*math.Abs(*entered)
	if *entered != 0 {
		figure.DifferencePercent = pointTo(100 * apart / *entered)
	}
	return figure
}
