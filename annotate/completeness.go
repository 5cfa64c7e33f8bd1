package annotate

import (
	"slices"
	"strings"
)

// Completeness tells which items of the published minimum sets a case has.
type Completeness struct {
	Have    int           `json:"have"`
	Of      int           `json:"of"`
	Missing []MissingItem `json:"missing"` // in the order of the record
	Sets    []SetShare    `json:"sets"`
}

// MissingItem is an item that at least one set asks for and that the case does not have.
type MissingItem struct {
	Item  string `json:"item"`  // in our words
	Set   string `json:"set"`   // codes of the sets, joined by ", "
	Part  string `json:"part"`  // "before", "operation" or "after"
	Field string `json:"field"` // where to enter it: a path in the case, or "visits." and a path in a visit
}

// SetShare is how much of one set a case has.
type SetShare struct {
	MinimumSet
	Have int `json:"have"`
	Of   int `json:"of"`
}

// MinimumSet is a published minimum set.
type MinimumSet struct {
	Code     string `json:"code"`
	Citation string `json:"citation"`
	Status   string `json:"status"`  // how far the list of items was checked
	LeftOut  string `json:"leftOut"` // what the set asks for and is not counted here
}

// minimumSets are those that are counted. Whether complications were looked for cannot be told from an empty list, so
// that no set counts them.
var minimumSets = []MinimumSet{
	{
		"ICHOM", "International Consortium for Health Outcomes Measurement, cataract set: Mahmud I et al., JAMA Ophthalmol 2015;133:1247-52",
		"Items before and the kinds of operation found in outline, those of outcome and the window of three months from memory.",
		"Complications, and the patient's own report of visual function.",
	},
	{
		"EUREQUO", "European Registry of Quality Outcomes for Cataract and Refractive Surgery: Lundström M et al., J Cataract Refract Surg 2012;38:1086-93",
		"Items found in outline, the window of 7 to 60 days from memory.",
		"Complications, in- or outpatient care and the material of the lens.",
	},
	{
		"UK", "Cataract National Dataset of the United Kingdom: Johnston RL et al., Eye 2010;24:888-93",
		"Citation and items from memory.",
		"Complications.",
	},
}

// Parts of the record in which an item stands.
const (
	partBefore    = "before"
	partOperation = "operation"
	partAfter     = "after"
)

// wantedItem is one item of the sets.
type wantedItem struct {
	item, sets, part, field string
	have                    func(Case, []Visit) bool
}

// codes are those of the sets that ask for the item.
func (w wantedItem) codes() []string { return strings.Split(w.sets, ", ") }

func answered(of func(EyeBefore) Answer) func(Case, []Visit) bool {
	return func(c Case, _ []Visit) bool { return of(c.Before) != Unknown }
}

func written(of func(Case) string) func(Case, []Visit) bool {
	return func(c Case, _ []Visit) bool { return strings.TrimSpace(of(c)) != "" }
}

func given[T any](of func(Case) *T) func(Case, []Visit) bool {
	return func(c Case, _ []Visit) bool { return of(c) != nil }
}

// within tells whether a visit of the days from least to most after the operation has something.
func within(least, most int, has func(Visit) bool) func(Case, []Visit) bool {
	return func(c Case, visits []Visit) bool {
		return slices.ContainsFunc(visits, func(v Visit) bool {
			return v.Date >= addDays(c.Date, least) && v.Date <= addDays(c.Date, most) && has(v)
		})
	}
}

const (
	everySet = "ICHOM, EUREQUO, UK"
	// The result is looked for from a week to three months after the operation: ICHOM says within three months, EUREQUO
	// 7 to 60 days; from memory.
	resultFrom, resultTo = 7, 92
)

// wantedItems are the items in the order of the record.
var wantedItems = []wantedItem{
	{"age", everySet, partBefore, "before.age", given(func(c Case) *int { return c.Before.Age })},
	{"sex", everySet, partBefore, "before.sex", written(func(c Case) string { return c.Before.Sex })},
	{"corrected acuity before", everySet, partBefore, "before.acuity", written(func(c Case) string { return c.Before.Acuity })},
	{"refraction before", "EUREQUO", partBefore, "before.refraction", given(func(c Case) *float64 { return c.Before.Refraction.equivalent() })},
	{"axial length", "UK", partBefore, "before.axialLength", given(func(c Case) *float64 { return c.Before.AxialLength })},
	{"power of the cornea", "UK", partBefore, "before.keratometry", func(c Case, _ []Visit) bool {
		k := c.Before.Keratometry
		return k != nil && k.Flat != nil && k.Steep != nil
	}},
	{"hardness of the nucleus", "EUREQUO", partBefore, "before.nuclearGrade", given(func(c Case) *int { return c.Before.NuclearGrade })},
	{"size of the pupil", "UK", partBefore, "before.pupil", written(func(c Case) string { return c.Before.Pupil })},
	{"glaucoma", everySet, partBefore, "before.glaucoma", answered(func(b EyeBefore) Answer { return b.Glaucoma })},
	{"diabetic retinopathy", everySet, partBefore, "before.diabeticRetinopathy", answered(func(b EyeBefore) Answer { return b.DiabeticRetinopathy })},
	{"amblyopia", "ICHOM, EUREQUO", partBefore, "before.amblyopia", answered(func(b EyeBefore) Answer { return b.Amblyopia })},
	{"brunescent or white cataract", "EUREQUO, UK", partBefore, "before.brunescentOrWhite", answered(func(b EyeBefore) Answer { return b.BrunescentOrWhite })},
	{"view of the fundus", "UK", partBefore, "before.noFundalView", answered(func(b EyeBefore) Answer { return b.NoFundalView })},
	{"pseudoexfoliation or phacodonesis", "EUREQUO, UK", partBefore, "before.pseudoexfoliation", answered(func(b EyeBefore) Answer { return b.Pseudoexfoliation })},
	{"alpha-blocker", "UK", partBefore, "before.alphaBlocker", answered(func(b EyeBefore) Answer { return b.AlphaBlocker })},
	{"able to lie flat", "UK", partBefore, "before.cannotLieFlat", answered(func(b EyeBefore) Answer { return b.CannotLieFlat })},
	{"first or second eye", "EUREQUO", partBefore, "before.fellowEye.operated", func(c Case, _ []Visit) bool {
		return c.Before.FellowEye != nil && c.Before.FellowEye.Operated != Unknown
	}},
	{"kind of operation", "ICHOM, EUREQUO", partOperation, "operation.techniquePerformed", written(func(c Case) string { return string(c.Operation.TechniquePerformed) })},
	{"anaesthesia", "EUREQUO, UK", partOperation, "operation.anaesthesia", written(func(c Case) string { return c.Operation.Anaesthesia })},
	{"kind of lens", "EUREQUO, UK", partOperation, "operation.lensKind", func(c Case, _ []Visit) bool {
		return c.Operation.LensKind != "" || c.Operation.LensPosition == "none"
	}},
	{"grade of the operator", "UK", partOperation, "operators", written(func(c Case) string { return c.RiskInput().Grade })},
	{"corrected acuity after", everySet, partAfter, "visits.acuity", within(resultFrom, resultTo, func(v Visit) bool { return v.Acuity != "" })},
	{"refraction after", "ICHOM, EUREQUO", partAfter, "visits.refraction", within(resultFrom, resultTo, func(v Visit) bool { return v.Refraction.equivalent() != nil })},
}

// CompletenessOf counts the items of all sets, each once.
func CompletenessOf(c Case, visits []Visit) Completeness {
	result := Completeness{Of: len(wantedItems), Missing: []MissingItem{}}
	for _, set := range minimumSets {
		result.Sets = append(result.Sets, SetShare{MinimumSet: set})
	}
	for _, wanted := range wantedItems {
		has := wanted.have(c, visits)
		if has {
			result.Have++
		} else {
			result.Missing = append(result.Missing, MissingItem{wanted.item, wanted.sets, wanted.part, wanted.field})
		}
		for i := range result.Sets {
			if slices.Contains(wanted.codes(), result.Sets[i].Code) {
				result.Sets[i].Of++
				if has {
					result.Sets[i].Have++
				}
			}
		}
	}
	return result
}
