package annotate

import (
	"context"
	"errors"
	"fmt"
	"math"
	"unicode/utf8"

	"zonule/timeline"
)

// markContext is what markers, events and comments of one case are checked against.
type markContext struct {
	c     seen
	tx    Tx
	now   int64
	parts map[string]Part
	clock timeline.Clock
	lists map[StepListRef]*StepList // nil: there is no such version
	own   StepListRef               // of the reading
	all   items                     // what stands
}

func newMarkContext(ctx context.Context, w *work, reading Reading, all items) (markContext, error) {
	parts, err := w.tx.Parts(ctx, w.ID)
	if err != nil {
		return markContext{}, err
	}
	clock, err := clockOf(parts)
	if err != nil {
		return markContext{}, err
	}
	m := markContext{
		c: w.seen, tx: w.tx, now: w.now, parts: map[string]Part{}, clock: clock,
		lists: map[StepListRef]*StepList{}, own: reading.StepList, all: all,
	}
	for _, part := range parts {
		m.parts[part.ID] = part
	}
	return m, nil
}

// validateShape checks that a change holds at most the one item that it names.
func (c Change) validateShape(p *problems, field string) {
	oneOf(p, field+"thing", c.Thing, true, ThingMarker, ThingEvent, ThingComment, ThingAcceptance)
	if c.Thing == ThingAcceptance {
		p.text(field+"id", c.ID, 1, 400)
	} else {
		p.id(field+"id", c.ID)
	}
	if c.Base < 0 {
		p.add(field+"base", "must be 0 or the number of an edit")
	}
	held := map[Thing]string{}
	if c.Marker != nil {
		held[ThingMarker] = c.Marker.ID
	}
	if c.Event != nil {
		held[ThingEvent] = c.Event.ID
	}
	if c.Comment != nil {
		held[ThingComment] = c.Comment.ID
	}
	if c.Acceptance != nil {
		held[ThingAcceptance] = c.Acceptance.ID
	}
	for thing, id := range held {
		if thing != c.Thing {
			p.add(field+string(thing), "stands in a change of a %s", c.Thing)
		} else if id != "" && id != c.ID {
			p.add(field+string(thing)+".id", "differs from the id of the change")
		}
	}
}

// allowed refuses what the actor may not do to this item of this reading: marking needs the right to mark it; to
// comments, everybody who may comment adds, answers and settles, and only the author changes the rest or removes.
func (m markContext) allowed(change, now Change, reading Reading) error {
	if change.Thing != ThingComment {
		if !m.c.mayMark(reading) {
			return forbidden(ReadingMark)
		}
		return nil
	}
	if !m.c.can(ReadingComment) {
		return forbidden(ReadingComment)
	}
	if now.Comment == nil || now.Comment.AuthorID == m.c.actor.ID {
		return nil
	}
	if change.Comment == nil {
		return Refuse(CodeForbidden, "Only its author may remove a comment; you may settle it.")
	}
	settled := *now.Comment
	settled.Settled, settled.ID, settled.Seq = change.Comment.Settled, change.Comment.ID, change.Comment.Seq
	settled.AuthorID, settled.MadeAt = change.Comment.AuthorID, change.Comment.MadeAt
	if len(Differences(settled, *change.Comment)) > 0 {
		return Refuse(CodeForbidden, "Only its author may change a comment; you may answer or settle it.")
	}
	return nil
}

// complete fills in what the server sets.
func (m markContext) complete(change, now Change, seq int64) Change {
	change = change.numbered(seq)
	switch {
	case change.Comment != nil && now.Comment != nil:
		change.Comment.AuthorID, change.Comment.MadeAt = now.Comment.AuthorID, now.Comment.MadeAt
	case change.Comment != nil:
		change.Comment.AuthorID, change.Comment.MadeAt = m.c.actor.ID, m.now
	case change.Acceptance != nil:
		change.Acceptance.AuthorID = m.c.actor.ID
	}
	return change
}

func (m markContext) validate(ctx context.Context, p *problems, field string, change Change) error {
	switch {
	case change.Marker != nil:
		return m.marker(ctx, p, field+"marker.", *change.Marker)
	case change.Event != nil:
		return m.event(ctx, p, field+"event.", *change.Event)
	case change.Comment != nil:
		m.comment(p, field+"comment.", *change.Comment)
	case change.Acceptance != nil:
		p.text(field+"acceptance.reason", change.Acceptance.Reason, 1, 1000)
	}
	return nil
}

func (m markContext) marker(ctx context.Context, p *problems, field string, marker Marker) error {
	list, err := m.list(ctx, marker.StepList)
	if err != nil {
		return err
	}
	if list == nil {
		p.add(field+"stepList", "is not a step list of this unit")
	} else if _, known := list.step(marker.Step); !known {
		p.add(field+"step", "%q is not a step of %s", marker.Step, list.Name)
	}
	m.span(p, field+"start", field+"end", marker.Start, marker.End)
	if marker.OperatorID != "" && !m.c.operates(marker.OperatorID) {
		p.add(field+"operatorId", "is not an operator of this case")
	}
	p.text(field+"note", marker.Note, 0, 2000)
	return nil
}

func (m markContext) event(ctx context.Context, p *problems, field string, event Event) error {
	m.instant(p, field+"at", event.At)
	p.text(field+"note", event.Note, 0, 2000)
	if (event.Kind == EventConversion) != (event.StepList != nil) {
		p.add(field+"stepList", "must name the next step list in a conversion, and stands in no other event")
		return nil
	}
	if event.StepList != nil {
		list, err := m.list(ctx, *event.StepList)
		if list == nil && err == nil {
			p.add(field+"stepList", "is not a step list of this unit")
		}
		return err
	}
	known, err := m.knowsKind(ctx, event.Kind)
	if !known && err == nil {
		p.add(field+"kind", "%q is not a kind of event of the step list", event.Kind)
	}
	return err
}

// knowsKind looks in the reading's own list and in those that were looked at because markers or conversions name them.
func (m markContext) knowsKind(ctx context.Context, kind string) (bool, error) {
	refs := []StepListRef{m.own}
	for _, change := range m.all {
		if change.Event != nil && change.Event.StepList != nil {
			refs = append(refs, *change.Event.StepList)
		}
	}
	for _, ref := range refs {
		list, err := m.list(ctx, ref)
		if err != nil || list != nil && list.hasEventKind(kind) {
			return true, err
		}
	}
	return false, nil
}

// list reads a version of a step list once; nil when there is none.
func (m markContext) list(ctx context.Context, ref StepListRef) (*StepList, error) {
	if list, known := m.lists[ref]; known {
		return list, nil
	}
	list, err := m.tx.StepList(ctx, ref)
	if errors.Is(err, ErrNoRow) {
		m.lists[ref] = nil
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	m.lists[ref] = &list
	return &list, nil
}

func (m markContext) comment(p *problems, field string, comment Comment) {
	m.span(p, field+"at", field+"end", comment.At, comment.End)
	p.text(field+"text", comment.Text, 1, 4000)
	if comment.ReplyTo != "" {
		opener, stands := m.all[itemKey{ThingComment, comment.ReplyTo}]
		if !stands || opener.Comment.ReplyTo != "" || comment.ReplyTo == comment.ID {
			p.add(field+"replyTo", "is not a comment that opened a thread of this reading")
		}
	}
	if comment.Shape != nil {
		comment.Shape.validate(p, field+"shape.")
	}
}

func (s Shape) validate(p *problems, field string) {
	oneOf(p, field+"kind", s.Kind, true, "arrow", "ring", "line")
	most := 2
	if s.Kind == "line" {
		most = 500
	}
	if len(s.Points) < 2 || len(s.Points) > most {
		p.add(field+"points", "must hold 2 to %d points", most)
	}
	for i, point := range s.Points {
		for _, v := range point {
			if math.IsNaN(v) || v < 0 || v > 1 {
				p.add(fmt.Sprintf("%spoints[%d]", field, i), "must lie within the frame, between 0 and 1")
				break
			}
		}
	}
}

// instant checks that a time lies in a part of the recording; its end counts.
func (m markContext) instant(p *problems, field string, at timeline.Instant) bool {
	part, known := m.parts[at.Part]
	switch {
	case !utf8.ValidString(at.Part) || !known:
		p.add(field+".part", "is not a part of this case's recording")
	case at.Ms < 0 || at.Ms > part.Facts.Duration:
		p.add(field+".ms", "is %d, but the part runs from 0 to %d ms", at.Ms, part.Facts.Duration)
	default:
		return true
	}
	return false
}

// span checks a start and an end, which may lie in different parts: the case clock tells which comes first.
func (m markContext) span(p *problems, startField, endField string, start timeline.Instant, end *timeline.Instant) {
	fits := m.instant(p, startField, start)
	if end == nil || !m.instant(p, endField, *end) || !fits {
		return
	}
	// Both lie within their parts, so that the clock knows them.
	from, _ := m.clock.Case(start)
	to, _ := m.clock.Case(*end)
	if to < from {
		p.add(endField, "comes before the start")
	}
}
