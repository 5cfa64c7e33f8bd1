package annotate

import (
	"fmt"
	"slices"
	"strings"
)

const (
	opensBefore     = 7   // days before a meeting on which its material opens, unless it says otherwise
	closesAfter     = 30  // days after it on which it closes
	countsBack      = 90  // days of operations before it that are its denominators
	mostAttendees   = 200 // of a meeting
	mostAgendaItems = 40  // of an agenda
	mostMoments     = 30  // of a pack
	mostFactors     = 50  // of a record
	mostLearning    = 30
	mostMinutes     = 240 // of an item
	mostDiscussion  = 20_000
	mostPackSection = 5000
)

// usual fills in what a form may leave out.
func (m *Meeting) usual() {
	m.Title, m.Room = strings.TrimSpace(m.Title), strings.TrimSpace(m.Room)
	fill := func(field *string, days int) {
		if *field == "" {
			*field = addDays(m.Date, days)
		}
	}
	fill(&m.OpensOn, -opensBefore)
	fill(&m.ClosesOn, closesAfter)
	fill(&m.From, -countsBack)
	fill(&m.To, 0)
	if !m.NamesOperators {
		m.NamesReason = ""
	}
	for _, id := range []string{m.ChairID, m.PresenterID} {
		m.invite(id)
	}
}

// invite adds somebody to the attendees who is not among them.
func (m *Meeting) invite(userID string) {
	if userID != "" && !m.invited(userID) {
		m.Attendees = append(slices.Clone(m.Attendees), Attendee{UserID: userID})
	}
}

func (m Meeting) invited(userID string) bool {
	return slices.ContainsFunc(m.Attendees, func(a Attendee) bool { return a.UserID == userID })
}

func (m Meeting) validate() error {
	var p problems
	p.id("id", m.ID)
	p.text("title", m.Title, 1, 120)
	p.date("date", m.Date, true)
	if m.Start != "" && !clockForm.MatchString(m.Start) {
		p.add("start", "must be a time of the form HH:MM")
	}
	p.text("room", m.Room, 0, 120)
	p.id("chairId", m.ChairID)
	if len(m.Attendees) > mostAttendees {
		p.add("attendees", "has %d people; at most %d are possible", len(m.Attendees), mostAttendees)
	}
	seen := map[string]bool{}
	for i, a := range m.Attendees {
		field := fmt.Sprintf("attendees[%d].userId", i)
		p.id(field, a.UserID)
		if seen[a.UserID] {
			p.add(field, "is there twice")
		}
		seen[a.UserID] = true
	}
	opens, closes := p.date("opensOn", m.OpensOn, true), p.date("closesOn", m.ClosesOn, true)
	if opens && m.OpensOn > m.Date {
		p.add("opensOn", "lies after the meeting")
	}
	if closes && m.ClosesOn < m.Date {
		p.add("closesOn", "lies before the meeting")
	}
	p.period(m.From, m.To)
	p.text("namesReason", m.NamesReason, 0, 1000)
	if m.NamesOperators && strings.TrimSpace(m.NamesReason) == "" {
		p.add("namesReason", "must say why the operators are named")
	}
	return p.err("The meeting")
}

// validate checks what a person writes of an item; its moments are checked against the recording.
func (i AgendaItem) validate() error {
	var p problems
	p.id("id", i.ID)
	p.text("title", i.Title, 1, 200)
	if i.Minutes < 0 || i.Minutes > mostMinutes {
		p.add("minutes", "must lie between 0 and %d", mostMinutes)
	}
	for _, section := range i.Pack.sections() {
		p.text(section.field, section.text, 0, mostPackSection)
	}
	if len(i.Pack.Moments) > mostMoments {
		p.add("pack.moments", "has %d moments; at most %d are possible", len(i.Pack.Moments), mostMoments)
	}
	seen := map[string]bool{}
	for n, moment := range i.Pack.Moments {
		field := fmt.Sprintf("pack.moments[%d].", n)
		p.id(field+"id", moment.ID)
		if seen[moment.ID] {
			p.add(field+"id", "is there twice")
		}
		seen[moment.ID] = true
		p.text(field+"line", moment.Line, 1, 300)
		p.text(field+"step", moment.Step, 0, 120)
	}
	return p.err("The item")
}

// writtenText is one text that a person wrote, with its field.
type writtenText struct{ field, text string }

func (p Pack) sections() []writtenText {
	return []writtenText{
		{"pack.situation", p.Situation}, {"pack.background", p.Background},
		{"pack.assessment", p.Assessment}, {"pack.recommendation", p.Recommendation},
	}
}

// texts gives everything of an item that a person wrote.
func (i AgendaItem) texts() []writtenText {
	texts := append([]writtenText{{"title", i.Title}}, i.Pack.sections()...)
	for n, moment := range i.Pack.Moments {
		texts = append(texts, writtenText{fmt.Sprintf("pack.moments[%d].line", n), moment.Line}, writtenText{fmt.Sprintf("pack.moments[%d].step", n), moment.Step})
	}
	return texts
}

// normalise makes equal records equal.
func (r *ItemRecord) normalise() {
	if r.Factors == nil {
		r.Factors = []Factor{}
	}
	if r.Learning == nil {
		r.Learning = []LearningPoint{}
	}
}

func (r ItemRecord) validate() error {
	var p problems
	p.text("discussion", r.Discussion, 0, mostDiscussion)
	if len(r.Factors) > mostFactors {
		p.add("factors", "has %d entries; at most %d are possible", len(r.Factors), mostFactors)
	}
	for i, f := range r.Factors {
		oneOf(&p, fmt.Sprintf("factors[%d].family", i), f.Family, true, FactorFamilies...)
		p.text(fmt.Sprintf("factors[%d].text", i), f.Text, 0, 1000)
	}
	oneOf(&p, "harm", r.Harm, false, Harms...)
	oneOf(&p, "preventability", r.Preventability, false, Preventabilities...)
	if len(r.Learning) > mostLearning {
		p.add("learning", "has %d entries; at most %d are possible", len(r.Learning), mostLearning)
	}
	for i, l := range r.Learning {
		p.text(fmt.Sprintf("learning[%d].text", i), l.Text, 0, 1000)
		if l.MomentID != "" {
			p.id(fmt.Sprintf("learning[%d].momentId", i), l.MomentID)
		}
	}
	return p.err("The record")
}

func (r ItemRecord) texts() []writtenText {
	texts := []writtenText{{"discussion", r.Discussion}}
	for i, f := range r.Factors {
		texts = append(texts, writtenText{fmt.Sprintf("factors[%d].text", i), f.Text})
	}
	for i, l := range r.Learning {
		texts = append(texts, writtenText{fmt.Sprintf("learning[%d].text", i), l.Text})
	}
	return texts
}

// answersOf gives what may be voted on a question.
func answersOf(question VoteQuestion) []string {
	var answers []string
	switch question {
	case VoteHarm:
		for _, harm := range Harms {
			answers = append(answers, string(harm))
		}
	case VotePreventability:
		for _, p := range Preventabilities {
			answers = append(answers, string(p))
		}
	}
	return answers
}
