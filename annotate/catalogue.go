package annotate

import (
	"context"
	"embed"
	"encoding/json"
	"fmt"
	"slices"
)

//go:embed complications.json steplists/*.json forms/*.json
var shipped embed.FS

// Complications that a unit records, in the order in which they are offered.
var complicationKinds = mustRead[[]ComplicationKind]("complications.json")

// mustRead reads a file that the program carries; the tests read all of them.
func mustRead[T any](name string) T {
	var value T
	text, err := shipped.ReadFile(name)
	if err == nil {
		err = json.Unmarshal(text, &value)
	}
	if err != nil {
		panic(fmt.Sprintf("the shipped %s cannot be read: %v", name, err))
	}
	return value
}

// kindNamed finds a kind of complication.
func kindNamed(code string) (ComplicationKind, bool) {
	at := slices.IndexFunc(complicationKinds, func(k ComplicationKind) bool { return k.Code == code })
	if at < 0 {
		return ComplicationKind{}, false
	}
	return complicationKinds[at], true
}

// Catalogue is what the unit may choose from.
type Catalogue struct {
	Complications []ComplicationKind `json:"complications"`
	Anaesthesias  []string           `json:"anaesthesias"`
	Windows       []Window           `json:"windows"`
	Grades        []Grade            `json:"grades"`
	Roles         []Role             `json:"roles"`
	Techniques    []Technique        `json:"techniques"`
	// Triggers are the rules by which cases may come to a meeting.
	Triggers []TriggerChoice `json:"triggers"`
	// ReportSections are the parts that a report may have, in the usual order.
	ReportSections []ReportSection `json:"reportSections"`
	// Limits holds the possible range of each quantity by its field, such as "before.age" and "exam.density".
	Limits map[string]FieldLimit `json:"limits"`
}

// Catalogue gives the words and ranges that forms need.
func (s *Service) Catalogue(context.Context) Catalogue {
	return Catalogue{
		Complications: complicationKinds, Anaesthesias: Anaesthesias, Windows: Windows, Grades: Grades, Roles: Roles,
		Techniques: Techniques, ReportSections: ReportSections, Triggers: TriggerChoices, Limits: fieldLimits,
	}
}
