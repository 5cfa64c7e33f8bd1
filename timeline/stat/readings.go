package stat

import (
	"slices"

	"zonule/timeline"
)

// Episode is one episode of a label in a reading, in ms.
type Episode struct {
	Label string
	timeline.Span
}

// Readings are two readings of one case, to be compared. Exclusive labels do not overlap one another within a reading; if
// they do, the one earlier in Exclusive counts and a note says so. Episodes with other labels are left out, with a note.
type Readings struct {
	A, B       []Episode
	Exclusive  []string
	Concurrent []string
	// Timeline is the whole recording; without length, it is the extent of both readings.
	Timeline timeline.Span
	// Window bounds the distance of matched boundaries in ms; nil: no bound.
	Window *int64
}

// LabelAgreement compares one label. Times are ms; Overlap over Union is 1 for identical episodes. Pointers are nil
// where the figure is undefined.
type LabelAgreement struct {
	Label      string     `json:"label"`
	TotalA     int64      `json:"totalA"`
	TotalB     int64      `json:"totalB"`
	Overlap    int64      `json:"overlap"`
	Union      int64      `json:"union"`
	IoU        *float64   `json:"iou"`
	KappaOnOff *float64   `json:"kappaOnOff"`
	Boundaries Boundaries `json:"boundaries"`

	matched matching
}

// PoolBoundaries summarises the boundaries of several comparisons as one.
func PoolBoundaries(rows []LabelAgreement) Boundaries {
	var pooled matching
	for _, row := range rows {
		pooled = pooled.with(row.matched)
	}
	return pooled.summary()
}

// ReadingAgreement is the agreement of two readings in continuous time.
type ReadingAgreement struct {
	Extent timeline.Span    `json:"extent"`
	Labels []LabelAgreement `json:"labels"`
	// Confusion is the time in ms by A's label (row) and B's (column), in the order of Exclusive, then unlabelled.
	Confusion     [][]int64  `json:"confusion"`
	Kappa         *float64   `json:"kappa"`         // over the extent
	KappaTimeline *float64   `json:"kappaTimeline"` // over the whole recording
	KappaLabelled *float64   `json:"kappaLabelled"` // where both readings have an exclusive label
	Boundaries    Boundaries `json:"boundaries"`
	Notes         []string   `json:"notes,omitempty"`
}

// CompareReadings computes kappa in continuous time (exact on the ends of the episodes, no sampling grid), overlap per
// label and boundary deviations. Two empty readings are TooFew. Source: our definition on top of Cohen's kappa; checked
// against a brute-force millisecond grid (testdata/reference/segment_agreement.json).
func CompareReadings(r Readings) (ReadingAgreement, error) {
	labels := slices.Concat(r.Exclusive, r.Concurrent)
	a, notesA := sortByLabel(r.A, labels, "The first reading")
	b, notesB := sortByLabel(r.B, labels, "The second reading")
	extent, ok := extentOf(a, b)
	if !ok {
		return ReadingAgreement{}, degenerate(TooFew, "Neither reading has an episode.")
	}
	result := ReadingAgreement{Extent: extent, Notes: slices.Concat(notesA, notesB)}
	for _, label := range labels {
		result.Labels = append(result.Labels, compareLabel(label, a[label], b[label], extent, r.Window))
	}
	result.Boundaries = PoolBoundaries(result.Labels)
	partsA, overlapA := exclusiveParts(a, r.Exclusive)
	partsB, overlapB := exclusiveParts(b, r.Exclusive)
	if overlapA || overlapB {
		result.Notes = append(result.Notes, "Exclusive steps overlap within a reading; the one earlier in the step list counts.")
	}
	result.Confusion = confusion(partsA, partsB, extent)
	result.Kappa = kappaValue(result.Confusion)
	whole := r.Timeline
	if whole.Length() == 0 {
		whole = extent
	}
	result.KappaTimeline = kappaValue(confusion(partsA, partsB, whole))
	last := len(r.Exclusive)
	labelled := make([][]int64, last)
	for i := range labelled {
		labelled[i] = result.Confusion[i][:last]
	}
	result.KappaLabelled = kappaValue(labelled)
	return result, nil
}

func sortByLabel(reading []Episode, labels []string, whose string) (map[string][]timeline.Span, []string) {
	byLabel := make(map[string][]timeline.Span, len(labels))
	var notes []string
	for _, e := range reading {
		if !slices.Contains(labels, e.Label) {
			notes = append(notes, whose+" has an episode of "+e.Label+", which is not compared.")
			continue
		}
		byLabel[e.Label] = append(byLabel[e.Label], e.Span)
	}
	for label, spans := range byLabel {
		byLabel[label] = timeline.Union(spans)
	}
	return byLabel, notes
}

func extentOf(readings ...map[string][]timeline.Span) (extent timeline.Span, ok bool) {
	for _, reading := range readings {
		for _, spans := range reading {
			if len(spans) == 0 {
				continue
			}
			from, to := spans[0].Start, spans[len(spans)-1].End
			if !ok {
				extent, ok = timeline.Span{Start: from, End: to}, true
			}
			extent = timeline.Span{Start: min(extent.Start, from), End: max(extent.End, to)}
		}
	}
	return extent, ok
}

func compareLabel(label string, a, b []timeline.Span, extent timeline.Span, window *int64) LabelAgreement {
	row := LabelAgreement{Label: label, TotalA: timeline.Length(a), TotalB: timeline.Length(b)}
	row.Overlap = timeline.Length(timeline.Intersect(a, b))
	row.Union = row.TotalA + row.TotalB - row.Overlap
	if row.Union > 0 {
		row.IoU = pointTo(float64(row.Overlap) / float64(row.Union))
	}
	row.KappaOnOff = kappaValue([][]int64{
		{row.Overlap, row.TotalA - row.Overlap},
		{row.TotalB - row.Overlap, extent.Length() - row.Union},
	})
	starts := matchInOrder(startsOf(a), startsOf(b), window)
	row.matched = starts.with(matchInOrder(endsOf(a), endsOf(b), window))
	row.Boundaries = row.matched.summary()
	return row
}

// exclusiveParts gives the spans of each exclusive label without what an earlier label already holds.
func exclusiveParts(reading map[string][]timeline.Span, exclusive []string) (parts [][]timeline.Span, overlapping bool) {
	var taken []timeline.Span
	for _, label := range exclusive {
		own := timeline.Subtract(reading[label], taken)
		overlapping = overlapping || timeline.Length(own) < timeline.Length(reading[label])
		parts = append(parts, own)
		taken = append(taken, own...)
	}
	return parts, overlapping
}

// confusion is the time within the limits per pair of labels; the last row and column are unlabelled.
func confusion(a, b [][]timeline.Span, limits timeline.Span) [][]int64 {
	rest := func(parts [][]timeline.Span) []timeline.Span {
		return timeline.Subtract([]timeline.Span{limits}, slices.Concat(parts...))
	}
	rows, columns := append(slices.Clone(a), rest(a)), append(slices.Clone(b), rest(b))
	table := make([][]int64, len(rows))
	for i, row := range rows {
		within := timeline.Clip(row, limits)
		table[i] = make([]int64, len(columns))
		for j, column := range columns {
			table[i][j] = timeline.Length(timeline.Intersect(within, column))
		}
	}
	return table
}
