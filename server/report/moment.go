package report

import (
	"cmp"
	"strconv"

	"zonule/server/report/words"
	"zonule/timeline"
)

// moment gives an instant with the ways to it; nil stays nil.
func (b builder) moment(at *timeline.Instant) *Moment {
	if at == nil {
		return nil
	}
	seconds := strconv.FormatFloat(float64(at.Ms)/1000, 'f', -1, 64)
	m := Moment{
		PartID: at.Part, Ms: at.Ms,
		Page:  "/cases/" + b.Case.ID + "/operation#part=" + at.Part + "&t=" + seconds,
		Media: "/api/v1/media/parts/" + at.Part + "#t=" + seconds,
	}
	for _, part := range b.Parts {
		if part.ID == at.Part {
			m.Part = part.Position
		}
	}
	if clock, err := b.input.Clock.Case(*at); err == nil {
		m.Clock = &clock
	}
	return &m
}

// byClock orders moments: those on the clock first, by time, then the rest.
func byClock(a, b *Moment) int {
	key := func(m *Moment) int64 {
		if m == nil || m.Clock == nil {
			return 1 << 62
		}
		return *m.Clock
	}
	return cmp.Compare(key(a), key(b))
}

// clock writes the case-clock time of a moment.
func (m *Moment) clock() string {
	if m == nil || m.Clock == nil {
		return "not recorded"
	}
	return words.Instant(*m.Clock)
}

// inPart writes the part and the time in it.
func (m *Moment) inPart() string {
	if m == nil {
		return ""
	}
	if m.Part == 0 {
		return "part removed, " + words.Instant(m.Ms)
	}
	return words.Part(m.Part) + ", " + words.Instant(m.Ms)
}

// page is the link to a moment; "" without one.
func (m *Moment) page() string {
	if m == nil {
		return ""
	}
	return m.Page
}
