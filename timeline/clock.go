package timeline

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"sort"
)

// Instant is a media time in a named part of a recording.
type Instant struct {
	Part string `json:"part"`
	Ms   int64  `json:"ms"` // since the first frame of the part
}

// RateSpan is a stretch of media time that an edit has sped up or slowed down.
type RateSpan struct {
	Start int64 `json:"start"` // media ms
	End   int64 `json:"end"`   // media ms
	// PerMille is real time per thousand of media time: 1000 is real time, 2000 an edit that runs twice as fast.
	PerMille int64 `json:"perMille"`
}

// Part is one file of a recording, as far as its time goes.
type Part struct {
	ID       string
	Name     string
	Duration int64  // ms of media time; the part covers [0, Duration)
	Offset   *int64 // case-clock time of the first frame; nil: it follows the part before without a gap
	Rates    []RateSpan
	Cuts     []int64 // media ms at which unknown time is missing
	// RealTime declares the part unedited, or its edits all declared in Rates and Cuts.
	RealTime bool
}

// ErrUnrecorded is returned for an instant that lies in no part: an unknown part, or a time outside it.
var ErrUnrecorded = errors.New("the instant lies in no part of the recording")

// PartError says which part cannot be placed on the case clock and why.
type PartError struct {
	Part  string // id
	Other string // id of the part it overlaps, else ""
	Field string // "id", "duration", "offset", "rates[2]" or "cuts[0]"
	// Message is a sentence that a person can act on.
	Message string
}

func (e *PartError) Error() string { return e.Message }

// timeLimit bounds every time (some 34 years in ms) and rateLimit every rate, so that no product overflows.
const (
	timeLimit = int64(1) << 40
	rateLimit = int64(1_000_000)
)

// placedPart is a part with its place on the case clock.
type placedPart struct {
	Part
	span Span // case clock
}

// Clock turns media time into case-clock time: real time that runs across the parts.
//
// case(i, t) = offset of part i + integral over [0, t) of the rate. Source: our definition; arithmetic.
type Clock struct {
	parts []placedPart // by case-clock time
	cuts  []int64      // case clock, ascending
	gaps  []Span       // case clock, between the parts
}

// NewClock places the parts, given in their order, on one clock. The error is a *PartError.
func NewClock(parts []Part) (Clock, error) {
	clock := Clock{}
	var end int64
	for _, part := range parts {
		if err := checkPart(part); err != nil {
			return Clock{}, err
		}
		for _, other := range clock.parts {
			if other.ID == part.ID {
				return Clock{}, &PartError{part.ID, "", "id", fmt.Sprintf("Two parts have the id %q.", part.ID)}
			}
		}
		start := end
		if part.Offset != nil {
			start = *part.Offset
		}
		placed := placedPart{Part: part, span: Span{start, start + realTime(&part, part.Duration)}}
		end = placed.span.End
		clock.parts = append(clock.parts, placed)
		for _, cut := range part.Cuts {
			clock.cuts = append(clock.cuts, start+realTime(&part, cut))
		}
	}
	slices.SortStableFunc(clock.parts, func(a, b placedPart) int { return cmp.Compare(a.span.Start, b.span.Start) })
	slices.Sort(clock.cuts)
	if err := clock.checkOverlap(); err != nil {
		return Clock{}, err
	}
	clock.gaps = clock.findGaps()
	return clock, nil
}

// checkPart reports what makes a part impossible to place.
func checkPart(part Part) error {
	refuse := func(field, format string, args ...any) error {
		return &PartError{part.ID, "", field, part.Name + ": " + fmt.Sprintf(format, args...)}
	}
	if part.Duration < 0 || part.Duration > timeLimit {
		return refuse("duration", "a length of %d ms is not possible.", part.Duration)
	}
	if part.Offset != nil && (*part.Offset < -timeLimit || *part.Offset > timeLimit) {
		return refuse("offset", "a start at %d ms of the case is not possible.", *part.Offset)
	}
	var last int64
	for i, rate := range part.Rates {
		field := fmt.Sprintf("rates[%d]", i)
		if rate.PerMille <= 0 || rate.PerMille > rateLimit {
			return refuse(field, "the speed must be above 0 and at most 1000 times real time.")
		}
		if rate.Start >= rate.End || rate.Start < 0 || rate.End > part.Duration {
			return refuse(field, "the span from %d to %d ms is empty or outside the part.", rate.Start, rate.End)
		}
		if rate.Start < last {
			return refuse(field, "speed spans must be in order and not overlap; move its start to %d ms or later.", last)
		}
		last = rate.End
	}
	for i, cut := range part.Cuts {
		if cut < 0 || cut > part.Duration {
			return refuse(fmt.Sprintf("cuts[%d]", i), "a cut at %d ms is outside the part.", cut)
		}
	}
	return nil
}

// checkOverlap names the first two parts that share case-clock time.
func (c Clock) checkOverlap() error {
	before := placedPart{}
	for i, part := range c.parts {
		if shared := min(before.span.End, part.span.End) - part.span.Start; i > 0 && shared > 0 {
			return &PartError{part.ID, before.ID, "offset",
				fmt.Sprintf("%s starts before %s has ended; they share %d ms.", part.Name, before.Name, shared)}
		}
		if i == 0 || part.span.End > before.span.End {
			before = part
		}
	}
	return nil
}

// realTime is the integral of the rate over the first ms of the part, summed exactly in thousandths of a
// millisecond and rounded once, half away from zero.
func realTime(part *Part, ms int64) int64 {
	thousandths := ms * 1000
	for _, rate := range part.Rates {
		if within := min(ms, rate.End) - rate.Start; within > 0 {
			thousandths += within * (rate.PerMille - 1000)
		}
	}
	return (thousandths + 500) / 1000
}

// find gives the part with the id.
func (c Clock) find(id string) (*placedPart, bool) {
	for i := range c.parts {
		if c.parts[i].ID == id {
			return &c.parts[i], true
		}
	}
	return nil, false
}

// Case gives the case-clock time of an instant, in ms. The end of a part is allowed, since a step may end there.
// The error is ErrUnrecorded.
func (c Clock) Case(at Instant) (int64, error) {
	part, ok := c.find(at.Part)
	if !ok || at.Ms < 0 || at.Ms > part.Duration {
		return 0, ErrUnrecorded
	}
	return part.span.Start + realTime(&part.Part, at.Ms), nil
}

// Media gives the first media millisecond at or after a case-clock time; false in gaps and outside the recording.
// For every instant, the case-clock time of Media(Case(instant)) is Case(instant); where no edit is slower than real
// time, the instant itself comes back.
func (c Clock) Media(caseMs int64) (Instant, bool) {
	for _, part := range c.parts {
		if part.span.Holds(caseMs) {
			ms := sort.Search(int(part.Duration), func(ms int) bool {
				return part.span.Start+realTime(&part.Part, int64(ms)) >= caseMs
			})
			return Instant{part.ID, int64(ms)}, true
		}
	}
	return Instant{}, false
}

// Extent is the case-clock time from the first frame to the end of the last part; empty without parts.
func (c Clock) Extent() Span {
	if len(c.parts) == 0 {
		return Span{}
	}
	extent := c.parts[0].span
	for _, part := range c.parts {
		extent.End = max(extent.End, part.span.End)
	}
	return extent
}

// Gaps gives the unrecorded case-clock time between parts.
func (c Clock) Gaps() []Span { return c.gaps }

// findGaps subtracts the parts from the extent.
func (c Clock) findGaps() []Span {
	recorded := make([]Span, 0, len(c.parts))
	for _, part := range c.parts {
		recorded = append(recorded, part.span)
	}
	return Subtract([]Span{c.Extent()}, recorded)
}

// Breaks reports whether a case-clock span crosses a cut or an unrecorded gap, so that its length is a lower bound.
// A span that ends or begins at a cut does not cross it.
func (c Clock) Breaks(span Span) bool {
	for _, cut := range c.cuts {
		if span.Start < cut && cut < span.End {
			return true
		}
	}
	return slices.ContainsFunc(c.gaps, func(gap Span) bool { return max(gap.Start, span.Start) < min(gap.End, span.End) })
}

// Edited reports whether a case-clock span touches a part that is edited without declaring how.
func (c Clock) Edited(span Span) bool {
	for i := range c.parts {
		part := &c.parts[i]
		if !part.RealTime && part.span.Start < max(span.End, span.Start+1) && span.Start < part.span.End {
			return true
		}
	}
	return false
}
