package demo

import (
	"cmp"
	"slices"
	"time"

	"zonule/annotate"
	"zonule/timeline"
)

// chunk is where the invented recorder begins another file.
const chunk = 15 * 60 * 1000

// parts are the files of a recording: those of a film, or a recording that is kept elsewhere and so is missing.
func (in *inventor) parts(r random, s slot, caseID string, c course) []annotate.Part {
	if s.film != nil {
		return s.film.parts(r, s, caseID)
	}
	formats := []annotate.MediaFacts{
		{Container: "mp4", VideoCodec: "h264", Width: 1920, Height: 1080, FrameRate: timeline.FrameRate{Num: 30000, Den: 1001}, Playable: true},
		{Container: "mp4", VideoCodec: "h264", Width: 1280, Height: 720, FrameRate: timeline.FrameRate{Num: 25, Den: 1}, Playable: true},
		{Container: "mp4", VideoCodec: "h264", Width: 1920, Height: 1080, FrameRate: timeline.FrameRate{Num: 50, Den: 1}, Playable: true},
	}
	facts := formats[r.weighted([]float64{0.5, 0.35, 0.15})]
	var list []annotate.Part
	for start := int64(0); start < c.length; start += chunk {
		facts.Duration = min(chunk, c.length-start)
		facts.Size = facts.Duration * 1250
		facts.ModifiedAt = s.begins + start + facts.Duration
		facts.RecordedAt = pointer(s.begins + start)
		facts.Fingerprint = r.fingerprint()
		number := len(list) + 1
		list = append(list, annotate.Part{
			ID: r.id(s.begins + 4*time.Hour.Milliseconds()), CaseID: caseID, Revision: 1, Position: number,
			Source: archiveSource(s, number), Facts: facts, State: annotate.PartMissing,
			StateReason: "The invented archive does not exist; only the four films of the demo play.",
			Rates:       []timeline.RateSpan{}, Cuts: []int64{}, RealTime: true, CheckedAt: s.begins + 4*time.Hour.Milliseconds(),
		})
	}
	return list
}

// instant finds the part that holds a time of the case clock; the parts follow each other without a gap.
func instant(parts []annotate.Part, at int64) timeline.Instant {
	for _, part := range parts[:len(parts)-1] {
		if at < part.Facts.Duration {
			return timeline.Instant{Part: part.ID, Ms: at}
		}
		at -= part.Facts.Duration
	}
	last := parts[len(parts)-1]
	return timeline.Instant{Part: last.ID, Ms: min(at, last.Facts.Duration)}
}

// scribe writes the journal of one reading.
type scribe struct {
	random
	in     *inventor
	slot   slot
	record *Record
	at     int64 // Unix ms of the next edit
}

// mark writes the accepted reading: what the lead operator marked some days later.
func (in *inventor) mark(r random, s slot, c course, record *Record) {
	at := record.Case.CreatedAt + int64(r.between(1, 6))*24*time.Hour.Milliseconds() + int64(r.between(0, 7_200_000))
	at = min(at, in.options.Today.UnixMilli()-int64(r.between(3_600_000, 7_200_000)))
	w := &scribe{random: r, in: in, slot: s, record: record, at: at}
	list := phaco
	if record.Case.Operation.TechniquePlanned == annotate.TechniqueMSICS {
		list = msics
	}
	record.Reading = &annotate.Reading{
		ID: r.id(at), CaseID: record.Case.ID, AuthorID: in.users[s.lead.login].ID,
		StepList: annotate.StepListRef{ID: list, Version: 1}, Accepted: true, CreatedAt: at,
	}
	slices.SortStableFunc(c.episodes, func(a, b episode) int { return cmp.Compare(a.start, b.start) })
	slices.SortStableFunc(c.events, func(a, b moment) int { return cmp.Compare(a.at, b.at) })
	for _, e := range c.episodes {
		w.marker(e)
	}
	for _, m := range c.events {
		w.event(m)
	}
	w.comments(c)
	record.Case.UpdatedAt = w.at
}

// edit appends one entry to the journal and gives its seq to the items.
func (w *scribe) edit(action, authorID string, changes ...annotate.Change) int64 {
	w.at += int64(w.between(1_500, 21_000))
	seq := int64(len(w.record.Edits) + 1)
	for _, change := range changes {
		switch {
		case change.Marker != nil:
			change.Marker.Seq = seq
		case change.Event != nil:
			change.Event.Seq = seq
		case change.Comment != nil:
			change.Comment.Seq = seq
		}
	}
	w.record.Edits = append(w.record.Edits, annotate.Edit{
		ID: w.id(w.at), Action: action, Changes: changes, Seq: seq, AuthorID: authorID, MadeAt: w.at,
	})
	w.record.Reading.Seq = seq
	return seq
}

// marker adds an episode; a quarter of them is set roughly first and then moved to the frame.
func (w *scribe) marker(e episode) {
	author := w.record.Reading.AuthorID
	exact := annotate.Marker{
		ID: w.id(w.at), Step: e.step, StepList: annotate.StepListRef{ID: e.list, Version: 1},
		Start: instant(w.record.Parts, e.start), End: pointer(instant(w.record.Parts, e.end)),
	}
	if e.login != w.slot.lead.login {
		exact.OperatorID = w.in.users[e.login].ID
	}
	if !w.chance(0.25) {
		w.edit("add", author, annotate.Change{Thing: annotate.ThingMarker, ID: exact.ID, Marker: &exact})
		return
	}
	rough := exact
	rough.End = pointer(instant(w.record.Parts, e.end+int64(w.between(150, 1400))))
	base := w.edit("add", author, annotate.Change{Thing: annotate.ThingMarker, ID: rough.ID, Marker: &rough})
	w.edit("move", author, annotate.Change{Thing: annotate.ThingMarker, ID: exact.ID, Base: base, Marker: &exact})
}

func (w *scribe) event(m moment) {
	event := annotate.Event{ID: w.id(w.at), Kind: m.kind, At: instant(w.record.Parts, m.at)}
	if m.kind == annotate.EventConversion {
		event.StepList = &annotate.StepListRef{ID: msics, Version: 1}
	}
	w.edit("add", w.record.Reading.AuthorID, annotate.Change{Thing: annotate.ThingEvent, ID: event.ID, Event: &event})
}
