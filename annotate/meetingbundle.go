package annotate

import (
	"context"
	"encoding/json"
	"maps"
	"slices"
	"strings"
)

// MeetingRecord is everything that belongs to one meeting, in the bundle of a unit.
type MeetingRecord struct {
	KeptMeeting
	Items   []KeptItem      `json:"items"`
	Votings []KeptVoting    `json:"votings,omitempty"`
	Remarks []Remark        `json:"remarks,omitempty"`
	Actions []MeetingAction `json:"actions,omitempty"`
	Live    *Place          `json:"live,omitempty"` // where it is, once it was somewhere
}

func meetingRecord(ctx context.Context, tx Tx, m KeptMeeting) (MeetingRecord, error) {
	record := MeetingRecord{KeptMeeting: m}
	var err error
	if record.Items, err = tx.MeetingItems(ctx, m.ID); err != nil {
		return record, err
	}
	if record.Votings, err = tx.Votings(ctx, m.ID); err != nil {
		return record, err
	}
	if record.Remarks, err = tx.Remarks(ctx, m.ID); err != nil {
		return record, err
	}
	if record.Actions, err = tx.ActionsOf(ctx, m.ID); err != nil {
		return record, err
	}
	live, err := tx.MeetingPlace(ctx, m.ID)
	if live.Place.Seq > 0 {
		record.Live = &live.Place
	}
	return record, err
}

// meetings writes the meetings, one at a time.
func (b *bundleWriter) meetings(ctx context.Context, tx Tx) error {
	all, err := tx.Meetings(ctx)
	if err != nil || len(all) == 0 {
		return err
	}
	b.text("],\"meetings\":[\n")
	for i, m := range all {
		if i > 0 {
			b.text(",\n")
		}
		record, err := meetingRecord(ctx, tx, m)
		if err != nil {
			return err
		}
		b.value(record)
	}
	return nil
}

// takeMeeting stores a meeting of a unit. Its cases came before it.
func (b *bundleReader) takeMeeting(ctx context.Context, record MeetingRecord) error {
	if b.head.Unit == nil {
		return badBundle("a bundle of one case has no meetings")
	}
	if err := record.validate(); err != nil {
		return err
	}
	if err := b.tx.InsertMeeting(ctx, record.KeptMeeting); err != nil {
		return err
	}
	for _, item := range record.Items {
		if item.MeetingID != record.ID {
			return badBundle("an item belongs to another meeting")
		}
		item.Record.normalise()
		if err := b.tx.InsertMeetingItem(ctx, item); err != nil {
			return err
		}
	}
	for _, voting := range record.Votings {
		if err := b.tx.InsertVoting(ctx, voting); err != nil {
			return err
		}
	}
	for _, remark := range record.Remarks {
		if err := b.tx.PutRemark(ctx, record.ID, remark); err != nil {
			return err
		}
	}
	for _, action := range record.Actions {
		if action.MeetingID != record.ID {
			return badBundle("an action belongs to another meeting")
		}
		if err := b.tx.InsertMeetingAction(ctx, action); err != nil {
			return err
		}
	}
	if record.Live == nil {
		return nil
	}
	return b.tx.PutMeetingPlace(ctx, record.ID, *record.Live)
}

// validate checks what a meeting in a bundle holds as if people had written it.
func (r MeetingRecord) validate() error {
	if err := r.Meeting.validate(); err != nil {
		return err
	}
	var p problems
	oneOf(&p, "state", r.State, true, MeetingPlanned, MeetingRunning, MeetingClosed)
	for _, item := range r.Items {
		written := AgendaItem{ID: item.ID, Title: item.Title, Minutes: item.Minutes, Pack: item.Pack}
		for _, m := range item.Moments {
			written.Pack.Moments = append(written.Pack.Moments, Moment{ID: m.ID, Ms: m.Ms, Line: m.Line, Step: m.Step})
		}
		if err := written.validate(); err != nil {
			return err
		}
		if err := item.Record.validate(); err != nil {
			return err
		}
		oneOf(&p, "kind", item.Kind, true, ItemActions, ItemCase, ItemTopic)
	}
	for _, action := range r.Actions {
		if err := action.validate(); err != nil {
			return err
		}
	}
	for _, remark := range r.Remarks {
		p.text("text", remark.Text, 1, 1000)
	}
	for _, voting := range r.Votings {
		for _, count := range voting.Counts {
			if !slices.Contains(answersOf(voting.Question), count.Value) || count.Count < 1 {
				p.add("votings", "holds an answer that there is not")
			}
		}
	}
	return p.err("The meeting")
}

// sealKinds say what an audit entry seals.
var sealKinds = map[string]string{
	"meeting.add": "meeting", "meeting.change": "meeting", "meeting.state": "meeting", "meeting.attendance": "meeting", "meeting.remove": "meeting",
	"meeting.item-add": "item", "meeting.item-change": "item", "meeting.item-remove": "item",
	"meeting.record": "record", "meeting.remark": "remark", "action.add": "action", "action.change": "action",
}

// sealedThing is a thing of a meeting of which the audit log holds a hash.
type sealedThing struct{ kind, id string }

// meetingSeals gathers the last seal of each thing from the audit log.
type meetingSeals map[sealedThing]string

func (s meetingSeals) read(v *verifier, entry AuditEntry) {
	kind, sealed := sealKinds[entry.Action]
	if !sealed {
		return
	}
	thing := sealedThing{kind, entry.ThingID}
	if strings.HasSuffix(entry.Action, "remove") {
		delete(s, thing)
		return
	}
	var seal meetingSeal
	if err := json.Unmarshal([]byte(entry.Detail), &seal); err != nil {
		v.tell("audit", entry.ThingID, "entry %d cannot be read", entry.Seq)
		return
	}
	s[thing] = seal.Hash
}

// meetings compares everything that was recorded at meetings with the hashes that the audit log holds.
func (v *verifier) meetings(ctx context.Context, tx Tx) error {
	all, err := tx.Meetings(ctx)
	if err != nil {
		return err
	}
	check := func(kind, id string, value any) {
		thing := sealedThing{kind, id}
		if seal, known := v.sealed[thing]; !known || seal != hashOf(value) {
			v.tell("meeting", id, "the %s is not what the audit log holds", kind)
		}
		delete(v.sealed, thing)
	}
	for _, m := range all {
		v.report.Meetings++
		record, err := meetingRecord(ctx, tx, m)
		if err != nil {
			return err
		}
		check("meeting", m.ID, m.Meeting)
		for _, item := range record.Items {
			check("item", item.ID, item.content())
			if item.Record.Revision > 0 {
				check("record", item.ID, item.Record)
			}
		}
		for _, remark := range record.Remarks {
			check("remark", remark.ID, remark)
		}
		for _, action := range record.Actions {
			check("action", action.ID, action)
		}
		for _, voting := range record.Votings {
			votes := 0
			for _, count := range voting.Counts {
				votes += count.Count
			}
			if votes != len(voting.Voters) {
				v.tell("meeting", voting.ItemID, "%d votes are counted and %d people voted", votes, len(voting.Voters))
			}
		}
	}
	gone := slices.SortedFunc(maps.Keys(v.sealed), func(a, b sealedThing) int { return strings.Compare(a.kind+a.id, b.kind+b.id) })
	for _, thing := range gone {
		v.tell("meeting", thing.id, "the %s is in the audit log and gone", thing.kind)
	}
	return nil
}
