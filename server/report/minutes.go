package report

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"zonule/annotate"
	"zonule/server/report/sheet"
	"zonule/server/report/words"
)

// Minutes is what the minutes of a meeting are made of: the meeting as a member gets it, blinded, and what stands beside it.
type Minutes struct {
	annotate.MeetingSheet
	Denominators annotate.MeetingDenominators
}

// MinutesEdition is everything about written minutes that is not in the meeting itself.
type MinutesEdition struct {
	Unit     string
	Invented bool
	// Name gives the name of a person; of those who sat in the meeting and of owners of actions, no others are asked for
	// unless the meeting names operators.
	Name func(id string) string
	// Reader is who reads them; the name stands across every page.
	Reader string
	// Made is when they were asked for. Its zone is that in which times are written.
	Made time.Time
}

const (
	minutesCaution = "Confidential. Made for learning by the members of the meeting; not part of a patient's record, not to be copied or " +
		"forwarded. Local policy governs who keeps them and how long. What is owed to a patient, such as telling them openly what happened, is separate from this meeting and not replaced by it."
	minutesFoot = "Minutes of a morbidity meeting: confidential. Education and quality improvement only."
)

// MinutesHTML writes the minutes as one page without outside parts.
func MinutesHTML(m Minutes, e MinutesEdition) ([]byte, error) {
	d, err := minutesDocument(m, e)
	if err != nil {
		return nil, err
	}
	return d.HTML()
}

// MinutesPDF writes the minutes as PDF. The same meeting and edition give the same bytes.
func MinutesPDF(m Minutes, e MinutesEdition) ([]byte, error) {
	d, err := minutesDocument(m, e)
	if err != nil {
		return nil, err
	}
	return d.PDF()
}

func minutesDocument(m Minutes, e MinutesEdition) (sheet.Document, error) {
	content, err := json.Marshal(m.everybodys())
	if err != nil {
		return sheet.Document{}, fmt.Errorf("write minutes: %w", err)
	}
	d := sheet.Document{
		Title: m.Title, Short: m.Title + ", " + words.Date(m.Date), Unit: e.Unit, Standing: minutesStanding(m), Signed: m.State == annotate.MeetingClosed,
		Hash: Hash(content), Caution: minutesFoot, Made: e.Made,
		// The day first: after a name that runs from right to left its number would join the name.
		Watermark: words.Wall(e.Made.UnixMilli(), e.Made.Location()) + ", " + e.Reader,
	}
	if e.Invented {
		d.Notice = inventedNotice
	}
	sections := []sheet.Section{
		{Anchor: "meeting", Blocks: minutesHead(m, e)},
		{Anchor: "before", Title: "Actions of earlier meetings", Blocks: actionTable(m, m.EarlierActions, e, "No action of an earlier meeting was open.")},
		{Anchor: "period", Title: "The period in numbers", Blocks: minutesPeriod(m.Denominators)},
	}
	for _, item := range m.Agenda {
		if item.Kind != annotate.ItemActions {
			sections = append(sections, minutesItem(m, item, e))
		}
	}
	sections = append(sections,
		sheet.Section{Anchor: "actions", Title: "Actions agreed", Blocks: actionTable(m, m.Actions, e, "No action was agreed.")},
		sheet.Section{Anchor: "cautions", Title: "Keeping these minutes", Blocks: []sheet.Block{sheet.Paragraph{Text: minutesCaution, Tone: sheet.Warning}}},
	)
	for _, section := range sections {
		if len(section.Blocks) > 0 {
			d.Sections = append(d.Sections, section)
		}
	}
	return d, nil
}

// everybodys leaves out what differs from one reader to the next, so that the same minutes have the same hash.
func (m Minutes) everybodys() Minutes {
	m.May, m.Agenda = annotate.MeetingRights{}, slices.Clone(m.Agenda)
	for i := range m.Agenda {
		item := &m.Agenda[i]
		item.InboxIDs, item.Votes = nil, slices.Clone(item.Votes)
		for k := range item.Votes {
			item.Votes[k].Own = false
		}
	}
	return m
}

func minutesStanding(m Minutes) string {
	switch m.State {
	case annotate.MeetingClosed:
		return "Minutes, meeting closed"
	case annotate.MeetingRunning:
		return "Minutes, meeting running"
	}
	return "Agenda, meeting planned"
}

func minutesHead(m Minutes, e MinutesEdition) []sheet.Block {
	when := words.Date(m.Date)
	if m.Start != "" {
		when += ", " + m.Start
	}
	facts := sheet.Facts{{Name: "Date", Value: when}}
	if m.Room != "" {
		facts = append(facts, sheet.Fact{Name: "Room", Value: m.Room})
	}
	facts = append(facts, sheet.Fact{Name: "Chair", Value: e.Name(m.ChairID)})
	if m.PresenterID != "" && m.PresenterID != m.ChairID {
		facts = append(facts, sheet.Fact{Name: "Presenter", Value: e.Name(m.PresenterID)})
	}
	var present, apologies, invited []string
	for _, a := range m.Attendees {
		switch name := e.Name(a.UserID); {
		case a.Present:
			present = append(present, name)
		case a.Apology:
			apologies = append(apologies, name)
		default:
			invited = append(invited, name)
		}
	}
	for _, list := range []struct {
		name  string
		names []string
	}{{"Present", present}, {"Apologies", apologies}, {"Invited", invited}} {
		if slices.Sort(list.names); len(list.names) > 0 {
			facts = append(facts, sheet.Fact{Name: list.name, Value: strings.Join(list.names, ", ")})
		}
	}
	blocks := []sheet.Block{facts}
	if m.NamesOperators {
		blocks = append(blocks, sheet.Paragraph{Head: "Operators are named", Text: m.NamesReason, Tone: sheet.Quiet})
	}
	return blocks
}

func minutesPeriod(d annotate.MeetingDenominators) []sheet.Block {
	blocks := []sheet.Block{sheet.Paragraph{Text: fmt.Sprintf("%s from %s to %s.",
		words.Upper(words.Plural(d.Operations, "operation", "operations")), words.Date(d.From), words.Date(d.To))}}
	table := sheet.Table{Caption: "Crude rates of the whole unit with 95 % intervals (Wilson).", Columns: []sheet.Column{
		{Title: "Complication", Share: 4}, {Title: "Operations", Share: 1.2, Right: true, Short: true}, {Title: "Rate", Share: 2.5, Right: true, Short: true},
	}}
	row := func(name string, count, of int, rate annotate.Rate) {
		if rate.Percent != nil {
			table.Rows = append(table.Rows, sheet.Row{Cells: []sheet.Cell{{Text: name}, {Text: fmt.Sprintf("%d of %d", count, of)}, {Text: rateText(rate)}}})
		}
	}
	row("Capsule rupture, audit definition", d.RuptureEvents, d.Operations, d.Rupture)
	for _, c := range d.Complications {
		row(c.Name, c.Count, c.Of, c.Rate)
	}
	if len(table.Rows) > 0 {
		blocks = append(blocks, table)
	}
	if d.Chart != nil && d.Chart.Text != "" {
		blocks = append(blocks, sheet.Paragraph{Head: "Control chart", Text: d.Chart.Text})
	}
	for _, note := range d.Notes {
		blocks = append(blocks, sheet.Paragraph{Text: note, Tone: sheet.Quiet})
	}
	return blocks
}

func rateText(r annotate.Rate) string {
	text := words.Number(*r.Percent, 1) + " %"
	if r.Low != nil && r.High != nil {
		text += fmt.Sprintf(" (%s to %s)", words.Number(*r.Low, 1), words.Number(*r.High, 1))
	}
	return text
}

func actionTable(m Minutes, actions []annotate.MeetingAction, e MinutesEdition, nothing string) []sheet.Block {
	if len(actions) == 0 {
		return none(nothing)
	}
	table := sheet.Table{Columns: []sheet.Column{
		{Title: "Action", Share: 4}, {Title: "Owner", Share: 1.6}, {Title: "Due", Share: 1.3, Short: true}, {Title: "State", Share: 3},
	}}
	for _, a := range actions {
		table.Rows = append(table.Rows, sheet.Row{Cells: []sheet.Cell{
			{Text: a.Text, Sub: agreedOn(a)}, {Text: e.Name(a.OwnerID)}, {Text: words.Date(a.DueOn)}, actionState(m, a),
		}})
	}
	return []sheet.Block{table}
}

func agreedOn(a annotate.MeetingAction) string {
	if a.AgreedOn == "" {
		return ""
	}
	return "agreed " + words.Date(a.AgreedOn)
}

// actionState tells how far an action is. What was closed after the meeting was open at it.
func actionState(m Minutes, a annotate.MeetingAction) sheet.Cell {
	var said []string
	if a.Evidence != "" {
		said = append(said, "Evidence: "+a.Evidence)
	}
	if a.ReviewOn != "" {
		said = append(said, "To be looked at again "+words.Date(a.ReviewOn))
	}
	state := "Open"
	switch {
	case a.State == annotate.ActionClosed && a.MeetingID != m.ID && a.ClosedAt != m.ID:
		state = "Open then, closed " + words.Date(a.ClosedOn)
	case a.State == annotate.ActionClosed && a.ClosedAt == m.ID:
		state = "Closed at this meeting"
		if a.ClosedReason != "" {
			said = append(said, a.ClosedReason)
		}
	case a.State == annotate.ActionClosed:
		state = "Closed " + words.Date(a.ClosedOn)
		if a.ClosedReason != "" {
			said = append(said, a.ClosedReason)
		}
	case a.State == annotate.ActionDone:
		state = "Done, says its owner"
	case a.Overdue:
		state = "Open, overdue"
	}
	return sheet.Cell{Text: state, Sub: strings.Join(said, " · ")}
}

func minutesItem(m Minutes, item annotate.AgendaItem, e MinutesEdition) sheet.Section {
	title := strconv.Itoa(item.Place) + ". " + item.Title
	if item.Label != "" && !strings.Contains(item.Title, item.Label) {
		title += " (" + item.Label + ")"
	}
	section := sheet.Section{Anchor: "item-" + strconv.Itoa(item.Place), Title: title}
	add := func(head, text string) {
		if text != "" {
			section.Blocks = append(section.Blocks, sheet.Paragraph{Head: head, Text: text})
		}
	}
	if item.Withdrawn != "" {
		section.Blocks = append(section.Blocks, sheet.Paragraph{Text: item.Withdrawn, Tone: sheet.Warning})
	}
	if m.NamesOperators && len(item.Operators) > 0 {
		var names []string
		for _, o := range item.Operators {
			names = append(names, e.Name(o.UserID)+" ("+string(o.Role)+")")
		}
		add("Operated by", strings.Join(names, ", "))
	}
	add("Situation", item.Pack.Situation)
	add("Background", item.Pack.Background)
	add("Assessment", item.Pack.Assessment)
	add("Recommendation", item.Pack.Recommendation)
	add("Discussion", item.Record.Discussion)
	if len(item.Record.Factors) > 0 {
		table := sheet.Table{Caption: "Contributory factors, by the families of the London Protocol.", Columns: []sheet.Column{{Title: "Family", Share: 1.5}, {Title: "Factor", Share: 5}}}
		for _, family := range annotate.FactorFamilies {
			for _, f := range item.Record.Factors {
				if f.Family == family {
					table.Rows = append(table.Rows, sheet.Row{Cells: []sheet.Cell{{Text: words.Upper(string(f.Family))}, {Text: f.Text}}})
				}
			}
		}
		section.Blocks = append(section.Blocks, table)
	}
	add("Harm", harmWords[item.Record.Harm])
	add("Preventability", preventabilityWords[item.Record.Preventability])
	for _, vote := range item.Votes {
		add("Vote on "+string(vote.Question), voteText(vote))
	}
	for i, point := range item.Record.Learning {
		text := point.Text
		if at := momentClock(item, point.MomentID); at != "" {
			text += " (seen at " + at + ")"
		}
		add(fmt.Sprintf("Learning point %d", i+1), text)
	}
	for _, remark := range m.Remarks {
		if remark.ItemID == item.ID {
			add("Remark, "+e.Name(remark.AuthorID), remark.Text)
		}
	}
	if len(section.Blocks) == 0 {
		section.Blocks = none("Nothing is recorded yet.")
	}
	return section
}

var (
	harmWords = map[annotate.Harm]string{"none": "None", "low": "Low", "moderate": "Moderate", "severe": "Severe", "death": "Death"}

	preventabilityWords = map[annotate.Preventability]string{
		"not": "Not preventable", "probably-not": "Probably not preventable", "probably": "Probably preventable", "clearly": "Clearly preventable",
	}
)

func voteText(v annotate.ItemVote) string {
	if len(v.Counts) == 0 {
		return v.Why
	}
	var parts []string
	for _, c := range v.Counts {
		name := harmWords[annotate.Harm(c.Value)]
		if v.Question == annotate.VotePreventability {
			name = preventabilityWords[annotate.Preventability(c.Value)]
		}
		parts = append(parts, fmt.Sprintf("%s %d", words.Lower(name), c.Count))
	}
	return words.Upper(strings.Join(parts, ", ")) + fmt.Sprintf(" (%d voted)", v.Voted)
}

func momentClock(item annotate.AgendaItem, id string) string {
	for _, moment := range item.Pack.Moments {
		if moment.ID == id {
			return moment.Clock
		}
	}
	return ""
}
