package annotate

import (
	"context"
	"slices"

	"zonule/timeline/stat"
)

// UnitFilter narrows the record of the unit. Zero values do not narrow.
type UnitFilter struct {
	From, To  string    // dates of operations, inclusive
	Technique Technique // performed
	Operator  string    // user id
}

// Scope is whose operations a record of the unit is about.
type Scope string

const (
	ScopeUnit Scope = "unit" // all of the unit
	ScopeSeen Scope = "seen" // those that the viewer may see
)

// UnitRecord is what became of the unit's operations up to today, and how complete their record is.
type UnitRecord struct {
	From       string    `json:"from"`
	To         string    `json:"to"`
	Technique  Technique `json:"technique"`
	Operator   string    `json:"operator"`
	Scope      Scope     `json:"scope"`
	Operations int       `json:"operations"`
	Signed     int       `json:"signed"` // operations with a signed report

	Rupture       UnitRupture      `json:"rupture"`
	Complications []KindRate       `json:"complications"` // in the order of the unit's list; those that happened
	Completeness  UnitCompleteness `json:"completeness"`

	LostToFollowUp int      `json:"lostToFollowUp"`
	Owing          int      `json:"owing"`   // operations that owe a visit
	Overdue        int      `json:"overdue"` // of these, overdue
	Notes          []string `json:"notes"`   // what the figures do not say, in words
}

// Rate is a share in percent with Wilson's 95 % interval; all nil under 5 cases.
type Rate struct {
	Percent *float64 `json:"percent"`
	Low     *float64 `json:"low"`
	High    *float64 `json:"high"`
}

// UnitRupture is the rate of capsule rupture under the audit definition, beside the published expectation.
type UnitRupture struct {
	Events     int         `json:"events"` // operations that count, each once
	Operations int         `json:"operations"`
	Rate       Rate        `json:"rate"`
	Kinds      []KindCount `json:"kinds"` // what was recorded; an operation may have several
	// ExpectedPercent is the mean published risk of the ExpectedOf operations whose every factor is known; ObservedOf
	// counts the ruptures among these. Nil under 5 of them.
	ExpectedPercent *float64 `json:"expectedPercent"`
	ExpectedOf      int      `json:"expectedOf"`
	ObservedOf      int      `json:"observedOf"`
	// ExpectedLowPercent and ExpectedHighPercent are the means of the ends of the ranges over all operations.
	ExpectedLowPercent  *float64 `json:"expectedLowPercent"`
	ExpectedHighPercent *float64 `json:"expectedHighPercent"`
	RuptureDefinition
}

// KindCount counts the operations with a kind of complication.
type KindCount struct {
	Code  string `json:"code"`
	Name  string `json:"name"`
	Count int    `json:"count"`
}

// KindRate is the rate of one kind of complication.
type KindRate struct {
	Kind  string `json:"kind"`
	Name  string `json:"name"`
	Phase string `json:"phase"`
	Count int    `json:"count"` // operations, each once
	// Of is out of how many: all operations, for what comes after the operation those seen again at a visit.
	Of int `json:"of"`
	Rate
}

// UnitCompleteness counts the items of the published minimum sets over the operations.
type UnitCompleteness struct {
	Cases int        `json:"cases"`
	Items []UnitItem `json:"items"` // in the order of the record
	Sets  []SetShare `json:"sets"`  // items over all operations
}

// UnitItem is one item of the sets over the operations of which it can be expected by now.
type UnitItem struct {
	Item  string   `json:"item"`
	Part  string   `json:"part"`
	Field string   `json:"field"`
	Sets  []string `json:"sets"` // codes
	Have  int      `json:"have"`
	Of    int      `json:"of"`
	// Lacking are the newest cases without the item that the viewer may see, at most 50.
	Lacking []LackingCase `json:"lacking"`
}

// LackingCase is a case without an item, by what it is called.
type LackingCase struct {
	ID        string `json:"id"`
	Pseudonym string `json:"pseudonym"`
	Eye       Eye    `json:"eye"`
}

const (
	fewestForPercent = 5  // operations
	fewestUnnamed    = 10 // operations of the unit under which sums could tell of a single case. Source: our definition.
	mostLacking      = 50
	confidence       = 0.95
)

// UnitRecord adds up the operations that a filter asks for. Trainers, chairs and the clinic get those of the whole unit,
// without naming cases that are not theirs to see; others, and whoever asks for one operator, those that they may see.
func (s *Service) UnitRecord(ctx context.Context, actor Actor, filter UnitFilter) (UnitRecord, error) {
	if err := mayManage(actor, UnitSummary); err != nil {
		return UnitRecord{}, err
	}
	narrowed := CaseFilter{From: filter.From, To: filter.To, Technique: filter.Technique, Operator: filter.Operator}
	if err := narrowed.validate(); err != nil {
		return UnitRecord{}, err
	}
	record := UnitRecord{From: filter.From, To: filter.To, Technique: filter.Technique, Operator: filter.Operator, Notes: []string{}}
	// Operations that lie ahead are registered and have not happened.
	if narrowed.To == "" || narrowed.To > s.today() {
		narrowed.To = s.today()
	}
	err := s.store.Read(ctx, func(tx Tx) error {
		t, err := s.scoped(ctx, tx, actor, narrowed, &record)
		if err != nil {
			return err
		}
		record.fill(t, s.today(), Can(actor, CaseView, RelationNone))
		return nil
	})
	return record, err
}

// scoped reads the operations of the widest scope that the actor may have.
func (s *Service) scoped(ctx context.Context, tx Tx, actor Actor, filter CaseFilter, record *UnitRecord) (tally, error) {
	query := s.query(actor, filter)
	record.Scope = ScopeSeen
	if query.All && filter.Operator == "" {
		record.Scope = ScopeUnit
	}
	if query.All || filter.Operator != "" || !Can(actor, UnitSums, RelationNone) {
		return s.tallyOf(ctx, tx, query)
	}
	query.All = true
	t, err := s.tallyOf(ctx, tx, query)
	if err != nil || len(t.rows) >= fewestUnnamed {
		record.Scope = ScopeUnit
		return t, err
	}
	record.Notes = append(record.Notes, "The whole unit has fewer than 10 such operations, too few to stay unnamed; these are the ones that you may see.")
	query.All = false
	return s.tallyOf(ctx, tx, query)
}

// fill computes the record; sees is set when the viewer may see every case.
func (r *UnitRecord) fill(t tally, today string, sees bool) {
	r.Operations = len(t.rows)
	r.Signed = t.count(func(row TallyRow) bool { return row.Signed })
	r.LostToFollowUp = t.count(func(row TallyRow) bool { return row.Lost })
	r.Owing = t.count(func(row TallyRow) bool { return row.DueOn != "" })
	r.Overdue = t.count(func(row TallyRow) bool { return row.LateOn != "" && row.LateOn < today })
	r.Rupture = t.rupture()
	r.Complications = t.complications()
	r.Completeness = t.completeness(today, sees)
	if seen := t.count(func(row TallyRow) bool { return row.Seen }); seen < r.Operations {
		r.Notes = append(r.Notes, "Complications after the operation are counted among the operations that were seen again.")
	}
	r.Notes = append(r.Notes, "Crude rates: they are not adjusted for case mix and do not compare people.")
}

func (t tally) rupture() UnitRupture {
	result := UnitRupture{
		Events: t.count(TallyRow.ruptured), Operations: len(t.rows), Kinds: []KindCount{}, RuptureDefinition: ruptureDefinition,
	}
	result.Rate = rateOf(result.Events, result.Operations)
	for _, code := range rupturing() {
		kind, _ := kindNamed(code)
		if n := t.with(code); n > 0 {
			result.Kinds = append(result.Kinds, KindCount{Code: code, Name: kind.Name, Count: n})
		}
	}
	chances, observed := t.known()
	result.ExpectedOf, result.ObservedOf = len(chances), observed
	if len(chances) >= fewestForPercent {
		expected := 100 * mean(chances)
		result.ExpectedPercent = &expected
	}
	if len(t.rows) >= fewestForPercent {
		var low, high float64
		for _, row := range t.rows {
			low, high = low+row.Items.ExpectedLow, high+row.Items.ExpectedHigh
		}
		n := float64(len(t.rows))
		low, high = low/n, high/n
		result.ExpectedLowPercent, result.ExpectedHighPercent = &low, &high
	}
	return result
}

func (t tally) with(code string) int {
	return t.count(func(row TallyRow) bool { return slices.Contains(row.Kinds, code) })
}

func (t tally) complications() []KindRate {
	rates := []KindRate{}
	for _, kind := range complicationKinds {
		rate := KindRate{Kind: kind.Code, Name: kind.Name, Phase: kind.Phase, Count: t.with(kind.Code), Of: len(t.rows)}
		if rate.Count == 0 {
			continue
		}
		if kind.Phase == phaseAfter {
			rate.Of = t.count(func(row TallyRow) bool { return row.Seen || slices.Contains(row.Kinds, kind.Code) })
		}
		rate.Rate = rateOf(rate.Count, rate.Of)
		rates = append(rates, rate)
	}
	return rates
}

// completeness counts the items. What comes after the operation is expected once its time has passed.
func (t tally) completeness(today string, sees bool) UnitCompleteness {
	result := UnitCompleteness{Cases: len(t.rows), Items: []UnitItem{}, Sets: []SetShare{}}
	for _, set := range minimumSets {
		result.Sets = append(result.Sets, SetShare{MinimumSet: set})
	}
	young := addDays(today, -resultTo) // from this date on there is time left
	for i, wanted := range wantedItems {
		item := UnitItem{Item: wanted.item, Part: wanted.part, Field: wanted.field, Sets: wanted.codes(), Lacking: []LackingCase{}}
		for _, row := range t.rows {
			switch {
			case wanted.part == partAfter && row.Date >= young:
				continue
			case !row.Items.lacks(i):
				item.Have++
			case (sees || row.Named) && len(item.Lacking) < mostLacking:
				item.Lacking = append(item.Lacking, LackingCase{row.ID, row.Pseudonym, row.Eye})
			}
			item.Of++
		}
		result.Items = append(result.Items, item)
		for s := range result.Sets {
			if slices.Contains(item.Sets, result.Sets[s].Code) {
				result.Sets[s].Have += item.Have
				result.Sets[s].Of += item.Of
			}
		}
	}
	return result
}

// rateOf is k of n in percent with Wilson's interval.
func rateOf(k, n int) Rate {
	if n < fewestForPercent {
		return Rate{}
	}
	estimate, err := stat.Wilson(k, n, confidence)
	if err != nil {
		return Rate{}
	}
	percent, low, high := 100*estimate.Value, 100*estimate.Interval.Lower, 100*estimate.Interval.Upper
	return Rate{&percent, &low, &high}
}
