package annotate

import (
	"context"
	"embed"
	"encoding/json"
	"fmt"
	"slices"
)

//go:embed complications.json steplists/*.json
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

// FieldLimit is what a field of a form may hold.
type FieldLimit struct {
	Least float64 `json:"least"`
	Most  float64 `json:"most"`
	Unit  string  `json:"unit"`
}

// Catalogue is what the unit may choose from.
type Catalogue struct {
	Complications []ComplicationKind `json:"complications"`
	Anaesthesias  []string           `json:"anaesthesias"`
	Windows       []Window           `json:"windows"`
	Grades        []Grade            `json:"grades"`
	Roles         []Role             `json:"roles"`
	Techniques    []Technique        `json:"techniques"`
	// Limits holds the possible range of each quantity by its field, such as "before.age" and "exam.density".
	Limits map[string]FieldLimit `json:"limits"`
}

// Catalogue gives the words and ranges that forms need.
func (s *Service) Catalogue(context.Context) Catalogue {
	return Catalogue{
		Complications: complicationKinds, Anaesthesias: Anaesthesias, Windows: Windows, Grades: Grades, Roles: Roles,
		Techniques: Techniques, Limits: fieldLimits,
	}
}

// fieldLimits are the ranges outside which a value can only be a slip of the pen; within them nothing is refused, however
// unlikely. They are drawn wide round what is measured: axial length 15 to 40 mm and the rest by common practice.
var fieldLimits = map[string]FieldLimit{
	"before.age":               {0, 120, "years"},
	"before.nuclearGrade":      {1, 5, ""},
	"before.axialLength":       {15, 40, "mm"},
	"before.chamberDepth":      {0.5, 8, "mm"},
	"before.thickness":         {200, 1500, "µm"},
	"operation.cde":            {0, 2000, ""},
	"operation.ultrasoundTime": {0, 7200, "s"},
	"operation.fluidUsed":      {0, 10000, "ml"},
	"exam.cells":               {1, 20000, "cells"},
	"exam.hexagonality":        {0, 100, "percent"},
	"exam.images":              {1, 100, ""},
	"exam.density":             {50, 10000, "cells/mm²"},
	"visit.pressure":           {0, 100, "mmHg"},
	"visit.oedemaGrade":        {0, 4, ""},
	"visit.thickness":          {200, 1500, "µm"},
	"complication.severity":    {0, 3, ""},
	"unit.lossLimitPercent":    {1, 100, "percent"},
	"unit.densityLimit":        {100, 5000, "cells/mm²"},
}
