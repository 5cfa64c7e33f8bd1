package demo

import (
	"slices"
	"time"

	"zonule/annotate"
)

// Held is a meeting that the unit has held. It is told as what people did, so that the program can let them do it.
type Held struct {
	Meeting   annotate.Meeting
	PlannedAt int64 // Unix ms
	BeginsAt  int64 // Unix ms
	Cases     []Discussed
}

// Discussed is a case at a meeting: who asked for it, what was said and what was agreed.
type Discussed struct {
	CaseID  string
	AskedBy string // user id
	AskedAt int64  // Unix ms
	Words   string
	Item    annotate.AgendaItem // the request brings the case to it
	Record  annotate.ItemRecord
	Votes   []annotate.Preventability // of the first attendees, one each; none: nobody was asked
	Agreed  []Agreed
}

// Agreed is an action with what became of it before the next meeting.
type Agreed struct {
	Action   annotate.MeetingAction
	Evidence string // "": not reported done yet
	DoneAt   int64  // Unix ms
}

const (
	sinceLastMeeting = 16 * 24 * time.Hour // at least, so that its material is still open to the members
	betweenMeetings  = 56 * 24 * time.Hour
	lookedBack       = 70 // days from a case to its meeting, at most
	discussedAtOnce  = 2  // cases of a meeting
)

// Meetings gives the two meetings that were held, the earlier one first. A unit of few cases may have had nothing to discuss.
func (u Unit) Meetings(options Options) []Held {
	people := map[string]annotate.User{}
	for _, user := range u.Users {
		people[user.Login] = user
	}
	last := options.Today.Add(-sinceLastMeeting)
	for last.Weekday() != time.Wednesday {
		last = last.AddDate(0, 0, -1)
	}
	var held []Held
	taken := map[string]bool{}
	for n, day := range []time.Time{last.Add(-betweenMeetings), last} {
		c := convener{random: newRandom(options.Seed, uint64(3_000_000+n)), people: people, day: day}
		meeting := c.meeting(n)
		for _, talk := range talks {
			record, found := c.choose(u.Records, talk.kind, taken)
			if !found || len(meeting.Cases) == discussedAtOnce {
				continue
			}
			taken[record.Case.ID] = true
			meeting.Cases = append(meeting.Cases, c.discuss(record, talk))
		}
		if len(meeting.Cases) > 0 {
			held = append(held, meeting)
		}
	}
	return held
}

// convener invents one meeting.
type convener struct {
	random
	people map[string]annotate.User // by login
	day    time.Time
}

func (c convener) hour(days, hours int) int64 {
	return c.day.AddDate(0, 0, days).Add(time.Duration(hours) * time.Hour).UnixMilli()
}

func (c convener) meeting(n int) Held {
	held := Held{PlannedAt: c.hour(-9, 12), BeginsAt: c.hour(0, 8)}
	held.Meeting = annotate.Meeting{
		ID: c.id(held.PlannedAt), Title: []string{"Complications of the early season", "Complications since the last meeting"}[n],
		Date: c.day.Format(time.DateOnly), Start: "07:45", Room: "Lamp room", ChairID: c.people["noor"].ID, PresenterID: c.people["mara"].ID,
		TakesVotes: true, TakesRemarks: true,
	}
	for _, login := range []string{"mara", "anand", "eleni", "haruka", "tomas", "daryna", "noor"} {
		away := login == "daryna" && n == 0
		held.Meeting.Attendees = append(held.Meeting.Attendees, annotate.Attendee{UserID: c.people[login].ID, Present: !away, Apology: away})
	}
	return held
}

// choose gives the newest tagged case of the weeks before the meeting that has a complication of the kind and may be shown.
func (c convener) choose(records []Record, kind string, taken map[string]bool) (Record, bool) {
	from, to := c.day.AddDate(0, 0, -lookedBack).Format(time.DateOnly), c.day.AddDate(0, 0, -10).Format(time.DateOnly)
	for _, record := range slices.Backward(records) {
		fits := record.Case.Date >= from && record.Case.Date <= to && record.Reading != nil && record.Case.Showable() && !taken[record.Case.ID]
		if fits && slices.ContainsFunc(record.Complications, func(one annotate.Complication) bool { return one.Kind == kind }) {
			return record, true
		}
	}
	return Record{}, false
}

func (c convener) discuss(record Record, t talk) Discussed {
	one := Discussed{
		CaseID: record.Case.ID, AskedBy: record.Case.Operators[0].UserID, AskedAt: c.hour(-10, 17), Words: t.asked,
		Item: annotate.AgendaItem{ID: c.id(c.hour(-9, 12)), Kind: annotate.ItemCase, Title: t.title, Minutes: t.minutes},
		Record: annotate.ItemRecord{
			Discussion: t.discussion, Factors: t.factors, Harm: t.harm, Preventability: t.preventability, Learning: t.learning,
		},
		Votes: t.votes,
	}
	for _, task := range t.tasks {
		agreed := Agreed{Evidence: task.evidence, DoneAt: c.hour(task.days-7, 16), Action: annotate.MeetingAction{
			ID: c.id(c.hour(0, 8)), Text: task.text, OwnerID: c.people[task.owner].ID, State: annotate.ActionOpen,
			DueOn: c.day.AddDate(0, 0, task.days).Format(time.DateOnly),
		}}
		one.Agreed = append(one.Agreed, agreed)
	}
	return one
}
