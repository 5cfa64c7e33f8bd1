package annotate

import (
	"fmt"
	"slices"

	"zonule/timeline"
)

// Operation is what was planned and what was done, apart from the timing. Nil and "" mean unknown.
type Operation struct {
	TechniquePlanned   Technique `json:"techniquePlanned"`
	TechniquePerformed Technique `json:"techniquePerformed"`
	ConversionReason   string    `json:"conversionReason,omitempty"`
	Anaesthesia        string    `json:"anaesthesia,omitempty"`  // one of Anaesthesias or ""
	IncisionSite       string    `json:"incisionSite,omitempty"` // one of IncisionSites or ""
	IncisionSize       *float64  `json:"incisionSize,omitempty"` // mm
	OVDs               []string  `json:"ovds,omitempty"`         // of OVDKinds
	Dye                Answer    `json:"dye,omitempty"`          // capsule stained
	PupilDevice        string    `json:"pupilDevice,omitempty"`  // one of PupilDevices or ""

	LensKind     string   `json:"lensKind,omitempty"`
	LensPower    *float64 `json:"lensPower,omitempty"`    // D
	LensPosition string   `json:"lensPosition,omitempty"` // one of LensPositions or ""
	// TargetRefraction is the spherical equivalent aimed at, in dioptres.
	TargetRefraction *float64 `json:"targetRefraction,omitempty"`

	MachineFamily string `json:"machineFamily,omitempty"`
	// CDE is cumulative dissipated energy as read off the machine; it has no unit.
	CDE                *float64 `json:"cde,omitempty"`
	EPT                *float64 `json:"ept,omitempty"`                // effective phaco time, s
	UltrasoundTime     *float64 `json:"ultrasoundTime,omitempty"`     // s
	LongitudinalTime   *float64 `json:"longitudinalTime,omitempty"`   // s
	LongitudinalPower  *float64 `json:"longitudinalPower,omitempty"`  // mean, percent
	TorsionalTime      *float64 `json:"torsionalTime,omitempty"`      // s
	TorsionalAmplitude *float64 `json:"torsionalAmplitude,omitempty"` // mean, percent
	AspirationTime     *float64 `json:"aspirationTime,omitempty"`     // s
	FluidUsed          *float64 `json:"fluidUsed,omitempty"`          // ml
	// Settings are those of the machine, one entry for a stage.
	Settings []StageSettings `json:"settings,omitempty"`
	Note     string          `json:"note,omitempty"`
}

// StageSettings is how the machine was set during one stage.
type StageSettings struct {
	Stage    string   `json:"stage"`
	Vacuum   *float64 `json:"vacuum,omitempty"`   // mmHg
	Flow     *float64 `json:"flow,omitempty"`     // aspiration, ml/min
	Power    *float64 `json:"power,omitempty"`    // percent
	Pressure *float64 `json:"pressure,omitempty"` // infusion, mmHg
}

// What an operation may name, in the order in which a form offers it.
var (
	Anaesthesias  = []string{"topical", "topical-intracameral", "sub-tenon", "peribulbar", "retrobulbar", "general"}
	IncisionSites = []string{"temporal", "superior", "superotemporal", "nasal", "other"}
	OVDKinds      = []string{"dispersive", "cohesive", "viscoadaptive", "methylcellulose"}
	PupilDevices  = []string{"none", "hooks", "ring"}
	LensPositions = []string{"bag", "sulcus", "anterior-chamber", "scleral", "none"}
)

// mostSettings bounds the stages of a step list many times over.
const mostSettings = 40

func (o Operation) validate(p *problems) {
	oneOf(p, "operation.techniquePlanned", o.TechniquePlanned, true, Techniques...)
	oneOf(p, "operation.techniquePerformed", o.TechniquePerformed, true, Techniques...)
	p.text("operation.conversionReason", o.ConversionReason, 0, 500)
	oneOf(p, "operation.anaesthesia", o.Anaesthesia, false, Anaesthesias...)
	oneOf(p, "operation.incisionSite", o.IncisionSite, false, IncisionSites...)
	oneOf(p, "operation.dye", o.Dye, false, Yes, No)
	oneOf(p, "operation.pupilDevice", o.PupilDevice, false, PupilDevices...)
	p.text("operation.lensKind", o.LensKind, 0, 120)
	oneOf(p, "operation.lensPosition", o.LensPosition, false, LensPositions...)
	p.text("operation.machineFamily", o.MachineFamily, 0, 120)
	for _, quantity := range []struct {
		name  string
		value *float64
	}{
		{"incisionSize", o.IncisionSize}, {"lensPower", o.LensPower}, {"targetRefraction", o.TargetRefraction}, {"cde", o.CDE},
		{"ept", o.EPT}, {"ultrasoundTime", o.UltrasoundTime}, {"longitudinalTime", o.LongitudinalTime},
		{"longitudinalPower", o.LongitudinalPower}, {"torsionalTime", o.TorsionalTime},
		{"torsionalAmplitude", o.TorsionalAmplitude}, {"aspirationTime", o.AspirationTime}, {"fluidUsed", o.FluidUsed},
	} {
		maybe(p, "operation."+quantity.name, "operation."+quantity.name, quantity.value)
	}
	o.validateLists(p)
	if o.LensPosition == "none" && o.LensPower != nil {
		p.doubt("operation.lensPower", "is given although no lens was implanted")
	}
	p.text("operation.note", o.Note, 0, 4000)
}

func (o Operation) validateLists(p *problems) {
	for i, kind := range o.OVDs {
		field := fmt.Sprintf("operation.ovds[%d]", i)
		oneOf(p, field, kind, true, OVDKinds...)
		if slices.Contains(o.OVDs[:i], kind) {
			p.add(field, "is named twice")
		}
	}
	if len(o.Settings) > mostSettings {
		p.add("operation.settings", "has %d entries; at most %d are possible", len(o.Settings), mostSettings)
		return
	}
	stages := map[string]bool{}
	for i, s := range o.Settings {
		field := fmt.Sprintf("operation.settings[%d].", i)
		p.text(field+"stage", s.Stage, 1, 60)
		if stages[s.Stage] {
			p.add(field+"stage", "is named twice")
		}
		stages[s.Stage] = true
		maybe(p, field+"vacuum", "operation.settings.vacuum", s.Vacuum)
		maybe(p, field+"flow", "operation.settings.flow", s.Flow)
		maybe(p, field+"power", "operation.settings.power", s.Power)
		maybe(p, field+"pressure", "operation.settings.pressure", s.Pressure)
	}
}

// EnergyOf computes CDE and, from the longitudinal part, EPT, as far as times and powers were entered. An unknown time is
// not a time of 0: CDE needs both parts.
func EnergyOf(o Operation) EnergyRecord {
	longitudinal, hasLongitudinal := ultrasound(o.LongitudinalTime, o.LongitudinalPower)
	torsional, hasTorsional := ultrasound(o.TorsionalTime, o.TorsionalAmplitude)
	var record EnergyRecord
	if hasLongitudinal && hasTorsional {
		if value, err := timeline.CDE(longitudinal, torsional); err == nil {
			record.CDEComputed = &value
		}
	}
	if hasLongitudinal {
		if value, err := timeline.EPT(longitudinal); err == nil {
			record.EPTComputed = &value
		}
	}
	cde, ept := timeline.Reconcile(o.CDE, record.CDEComputed), timeline.Reconcile(o.EPT, record.EPTComputed)
	record.CDEDifferencePercent, record.CDEDiffers = cde.DifferencePercent, cde.Disagree
	record.EPTDifferencePercent, record.EPTDiffers = ept.DifferencePercent, ept.Disagree
	return record
}

// ultrasound joins a time in s with a power in percent; false when one is unknown. A time of 0 needs no power.
func ultrasound(seconds, percent *float64) (timeline.Ultrasound, bool) {
	switch {
	case seconds == nil, percent == nil && *seconds != 0:
		return timeline.Ultrasound{}, false
	case percent == nil:
		return timeline.Ultrasound{}, true
	}
	return timeline.Ultrasound{Seconds: *seconds, Power: *percent / 100}, true
}
