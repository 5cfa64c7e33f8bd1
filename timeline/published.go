package timeline

import (
	_ "embed" // the published groups are data
	"encoding/json"
	"fmt"
	"slices"
)

// PublishedGroup is a public series of operations whose phases were timed. It is not a norm: one or two hospitals, small
// numbers, its own definitions of start and end.
type PublishedGroup struct {
	Code       string `json:"code"`
	Name       string `json:"name"`
	Technique  string `json:"technique"`
	Citation   string `json:"citation"`
	Operations int    `json:"operations"`
	// Definition says how the series marked its phases.
	Definition string           `json:"definition"`
	Phases     []PublishedPhase `json:"phases"`
}

// PublishedPhase is one phase under the series' own name. Times are in ms, the spans of a phase summed per operation.
type PublishedPhase struct {
	Name string `json:"name"`
	// Whole is set when the phase is the whole operation; Steps is then empty.
	Whole bool `json:"whole"`
	// Steps are the codes of ours whose union is set beside the phase; empty when we have none.
	Steps []string `json:"steps"`
	// Definition says how their phase and our steps differ.
	Definition string `json:"definition"`
	N          int    `json:"n"`
	Median     int64  `json:"median"`
	Mean       int64  `json:"mean"`
	SD         int64  `json:"sd"`
	P5         int64  `json:"p5"`
	P25        int64  `json:"p25"`
	P75        int64  `json:"p75"`
	P95        int64  `json:"p95"`
}

// PublishedPlace is the place of a value among published quantiles, never closer than they allow.
type PublishedPlace struct {
	Low  *int   `json:"low"`  // percentile at or below; nil under the lowest
	High *int   `json:"high"` // percentile at or above; nil over the highest
	Text string `json:"text"`
}

//go:embed published.json
var publishedJSON []byte

// PublishedGroups gives the shipped groups. Source: summary figures computed from openly published phase markings
// (quantiles of type 7); found; the mapping to our steps is our own and worded at each phase.
func PublishedGroups() []PublishedGroup {
	var groups []PublishedGroup
	if err := json.Unmarshal(publishedJSON, &groups); err != nil {
		panic(fmt.Sprintf("the embedded published groups cannot be read: %v", err)) // a test reads them
	}
	return groups
}

// Comparable gives the time of this reading that stands beside a published phase: the union of our mapped steps, or the
// operation time. Its quality is not-recorded when none of the steps was marked or the phase has no counterpart.
func Comparable(in Input, phase PublishedPhase) Figure {
	s := layOut(in)
	if !phase.Whole {
		return s.figure(pick(s.marks, func(m *placedMark) bool { return slices.Contains(phase.Steps, m.Step) }))
	}
	whole := s.operation()
	figure := Figure{Total: whole.Time, Span: whole.Time, FirstStart: whole.Start, LastEnd: whole.End, Quality: whole.Quality}
	if whole.Time != nil {
		figure.Episodes, figure.Interrupted = 1, pointTo(int64(0))
	}
	return figure
}

// Place tells between which published quantiles a measured time lies.
func (p PublishedPhase) Place(ms int64) PublishedPlace {
	quantiles := []struct {
		percentile int
		value      int64
	}{{5, p.P5}, {25, p.P25}, {50, p.Median}, {75, p.P75}, {95, p.P95}}
	place := PublishedPlace{}
	for _, q := range quantiles {
		if q.value <= ms {
			place.Low = &q.percentile
		}
		if q.value >= ms && place.High == nil {
			place.High = &q.percentile
		}
	}
	switch {
	case place.Low == nil:
		place.Text = fmt.Sprintf("below the %s of that series", ordinal(*place.High))
	case place.High == nil:
		place.Text = fmt.Sprintf("above the %s of that series", ordinal(*place.Low))
	case *place.Low >= *place.High:
		place.Low = place.High
		place.Text = fmt.Sprintf("at the %s of that series", ordinal(*place.High))
	default:
		place.Text = fmt.Sprintf("between the %s and the %s of that series", ordinal(*place.Low), ordinal(*place.High))
	}
	return place
}

// ordinal names a published percentile; all of them take "th".
func ordinal(percentile int) string {
	if percentile == 50 {
		return "median"
	}
	return fmt.Sprintf("%dth percentile", percentile)
}
