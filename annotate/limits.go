package annotate

// FieldLimit is what a field of a form may hold: outside Least to Most a value is refused, outside WarnLow to WarnHigh it
// is kept and questioned.
type FieldLimit struct {
	Least    float64 `json:"least"`
	Most     float64 `json:"most"`
	WarnLow  float64 `json:"warnLow"`
	WarnHigh float64 `json:"warnHigh"`
	Unit     string  `json:"unit"`
}

// fieldLimits holds for each quantity the range outside which a value can only be a slip of the pen, and the range
// outside which a person should look again. The first is drawn wide round what is measured, by common practice.
//
// The second is about the mean and four standard deviations where a series was found, else common practice. Found:
// axial length 23.43 (1.51) mm, chamber depth 3.11 (0.43) mm, white-to-white 11.82 (0.40) mm and corneal radius
// 7.69 (0.28) mm of Hoffmann 2010, the radius turned into dioptres by 337.5/r; corneal thickness 513 (39) µm
// and density 1904 to 3802 cells/mm² of Duman 2016, some 6000 at birth of Bourne 2003; 75 cells of Doughty 2020.
// Common practice: white-to-white unusual under 10.5 or over 13 mm, pressure a spike from 30 mmHg. From memory: LOCS III
// runs to 6.9 for the nucleus and to 5.9 for cortex and posterior capsule.
var fieldLimits = map[string]FieldLimit{
	"before.age":                       {0, 120, 18, 105, "years"},
	"before.nuclearGrade":              {1, 5, 1, 5, ""},
	"before.axialLength":               {15, 40, 20, 30, "mm"},
	"before.chamberDepth":              {0.5, 8, 1.5, 4.8, "mm"},
	"before.thickness":                 {200, 1500, 400, 680, "µm"},
	"before.pressure":                  {0, 100, 5, 30, "mmHg"},
	"before.whiteToWhite":              {6, 18, 10.5, 13, "mm"},
	"before.locs.nuclearOpalescence":   {0.1, 6.9, 0.1, 6.9, ""},
	"before.locs.nuclearColour":        {0.1, 6.9, 0.1, 6.9, ""},
	"before.locs.cortical":             {0.1, 5.9, 0.1, 5.9, ""},
	"before.locs.posteriorSubcapsular": {0.1, 5.9, 0.1, 5.9, ""},
	"before.keratometry.flat":          {20, 80, 38, 51, "D"},
	"before.keratometry.steep":         {20, 80, 38, 51, "D"},
	"before.keratometry.axis":          {0, 180, 0, 180, "degrees"},

	"refraction.sphere":   {-40, 40, -20, 15, "D"},
	"refraction.cylinder": {-20, 20, -8, 8, "D"},
	"refraction.axis":     {0, 180, 0, 180, "degrees"},

	"operation.cde":                {0, 2000, 0, 100, ""},
	"operation.ultrasoundTime":     {0, 7200, 0, 600, "s"},
	"operation.fluidUsed":          {0, 10000, 10, 500, "ml"},
	"operation.incisionSize":       {0.5, 20, 1.2, 12, "mm"},
	"operation.lensPower":          {-30, 60, 0, 35, "D"},
	"operation.targetRefraction":   {-20, 10, -4, 1, "D"},
	"operation.longitudinalTime":   {0, 7200, 0, 600, "s"},
	"operation.longitudinalPower":  {0, 100, 0, 100, "percent"},
	"operation.torsionalTime":      {0, 7200, 0, 600, "s"},
	"operation.torsionalAmplitude": {0, 100, 0, 100, "percent"},
	"operation.ept":                {0, 7200, 0, 300, "s"},
	"operation.aspirationTime":     {0, 7200, 0, 1800, "s"},
	"operation.settings.vacuum":    {0, 1000, 0, 700, "mmHg"},
	"operation.settings.flow":      {0, 200, 0, 80, "ml/min"},
	"operation.settings.power":     {0, 100, 0, 100, "percent"},
	"operation.settings.pressure":  {0, 300, 15, 150, "mmHg"},

	"exam.density":      {50, 10000, 500, 4500, "cells/mm²"},
	"exam.cells":        {1, 20000, 75, 2000, "cells"},
	"exam.cv":           {0, 1, 0.15, 0.60, ""},
	"exam.hexagonality": {0, 100, 20, 90, "percent"},
	"exam.images":       {1, 100, 1, 10, ""},

	"visit.pressure":        {0, 100, 5, 30, "mmHg"},
	"visit.oedemaGrade":     {0, 4, 0, 4, ""},
	"visit.thickness":       {200, 1500, 400, 900, "µm"},
	"complication.severity": {0, 3, 0, 3, ""},
	"unit.lossLimitPercent": {1, 100, 1, 100, "percent"},
	"unit.densityLimit":     {100, 5000, 100, 5000, "cells/mm²"},
	"unit.windows.dueDays":  {0, 3650, 0, 3650, "days"},
	"unit.windows.lateDays": {0, 3650, 0, 3650, "days"},
	"unit.triggers.limit":   {1, 4, 1, 4, ""},
}
