package report

import (
	"fmt"
	"slices"
	"time"

	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline"
)

// document words the report for the sheet: here and only here figures are rounded and get their units.
func document(r Report, e Edition) (sheet.Document, error) {
	content, err := JSON(r)
	if err != nil {
		return sheet.Document{}, err
	}
	d := sheet.Document{
		Title:    fmt.Sprintf("Review report: %s, %s, %s", r.Case.Pseudonym, words.Eye(r.Case.Eye), words.Date(r.Case.Date)),
		Short:    fmt.Sprintf("%s, %s, %s", r.Case.Pseudonym, words.Eye(r.Case.Eye), words.Date(r.Case.Date)),
		Unit:     r.Unit,
		Standing: e.standing(),
		Signed:   e.Signature != nil,
		Hash:     Hash(content),
		Caution:  footCaution,
		Address:  e.Address,
		Made:     made(r, e),
	}
	if r.Invented {
		d.Notice = inventedNotice
	}
	if r.blinded() {
		d.Title = fmt.Sprintf("Review report, blinded: %s, %s", words.Eye(r.Case.Eye), words.Technique(r.Case.Operation.TechniquePerformed))
		d.Short, d.Unit, d.Standing = d.Title, "Blinded edition", "Blinded edition, not signed"
	}
	w := writer{r, e}
	d.Sections = []sheet.Section{
		{Anchor: "summary", Blocks: []sheet.Block{sheet.Paragraph{Text: r.Summary, Tone: sheet.Lead}}},
		{Anchor: "eye", Title: "Eye before, people and technique", Blocks: w.eye()},
		{Anchor: "operation", Title: "The operation", Blocks: w.operation()},
		{Anchor: "steps", Title: "Time of each step", Blocks: w.steps()},
		{Anchor: "happenings", Title: "What happened and when", Blocks: w.happenings()},
		{Anchor: "risk", Title: "Risk before the operation", Blocks: w.risk()},
		{Anchor: "energy", Title: "Energy and fluid", Blocks: w.energy()},
		{Anchor: "follow-up", Title: "What the eye did afterwards", Blocks: w.followUp()},
		{Anchor: "level", Title: "Beside other cases", Blocks: w.level()},
		{Anchor: "findings", Title: "Findings and learning points", Blocks: w.findings()},
		{Anchor: "comments", Title: "Comments", Blocks: w.comments()},
		{Anchor: "missing", Title: "What the record cannot say", Blocks: w.missing()},
		{Anchor: "published", Title: "Beside published series", Blocks: w.published()},
		{Anchor: "cautions", Title: "Cautions and versions", Blocks: w.cautions()},
		{Anchor: "signature", Title: "Signature", Blocks: w.signature()},
	}
	kept := d.Sections[:0]
	for _, s := range d.Sections {
		if len(s.Blocks) > 0 {
			kept = append(kept, s)
		}
	}
	d.Sections = arranged(kept, r.Sections)
	return d, nil
}

// made dates the file by its signature, or a draft by the day of the operation, so that no clock is read.
func made(r Report, e Edition) time.Time {
	if e.Signature != nil {
		return time.UnixMilli(e.Signature.At).UTC()
	}
	day, err := time.Parse(time.DateOnly, r.Case.Date)
	if err != nil {
		return time.Unix(0, 0).UTC()
	}
	return day
}

// writer words one report.
type writer struct {
	Report
	edition Edition
}

// none is a sentence that stands where there is nothing to show.
func none(text string) []sheet.Block {
	return []sheet.Block{sheet.Paragraph{Text: text}}
}

// signature is the last section: who answers for the content.
func (w writer) signature() []sheet.Block {
	s := w.edition.Signature
	if w.blinded() {
		return none("This edition is made from a report for people who should not know whose case it is. It is not what was signed.")
	}
	if s == nil {
		return none("Draft. The content may still change; it has not been signed.")
	}
	blocks := []sheet.Block{sheet.Facts{
		{Name: "Signed by", Value: s.Name},
		{Name: "Signed at", Value: words.Wall(s.At, w.edition.zone())},
		{Name: "Signed report of this case", Value: fmt.Sprintf("No. %d", s.Number)},
	}, sheet.Paragraph{
		Text: "The signature covers the canonical JSON of this report, whose SHA-256 is at the foot. A signed report never changes; what is added later stands below as an addendum.",
		Tone: sheet.Quiet,
	}}
	var remarks sheet.Remarks
	for i, a := range s.Addenda {
		remarks = append(remarks, sheet.Remark{
			Head: fmt.Sprintf("Addendum %d: %s", i+1, a.AuthorName), Where: words.Wall(a.MadeAt, w.edition.zone()), Text: a.Text,
		})
	}
	if len(remarks) > 0 {
		blocks = append(blocks, remarks)
	}
	return blocks
}

func (w writer) cautions() []sheet.Block {
	blocks := []sheet.Block{}
	for _, text := range w.Cautions {
		blocks = append(blocks, sheet.Paragraph{Text: text, Tone: sheet.Quiet})
	}
	for _, text := range w.Blinded {
		blocks = append(blocks, sheet.Paragraph{Text: text})
	}
	if w.blinded() {
		return append(blocks, sheet.Paragraph{Text: fmt.Sprintf("Made by rules %s.", w.Versions.Rules), Tone: sheet.Quiet})
	}
	text := fmt.Sprintf("Made by rules %s from change %d of the case", w.Versions.Rules, w.CaseChange)
	if w.Versions.Reading != "" {
		text += fmt.Sprintf(" and edit %d of the accepted reading", w.Versions.Edit)
	}
	for i, l := range w.Versions.StepLists {
		text += fmt.Sprintf("%s %s, version %d", map[bool]string{true: "; step list", false: ","}[i == 0], l.Name, l.Version)
	}
	return append(blocks, sheet.Paragraph{Text: text + ".", Tone: sheet.Quiet})
}

func (w writer) missing() []sheet.Block {
	blocks := []sheet.Block{}
	for _, m := range w.Missing {
		blocks = append(blocks, sheet.Paragraph{Text: m.Text, Tone: sheet.Warning, Link: m.At.page()})
	}
	blocks = append(blocks, w.doubts()...)
	untold := slices.DeleteFunc(slices.Clone(w.Warnings), WarningLine.told)
	if len(untold) > 0 {
		blocks = append(blocks, sheet.Paragraph{Text: "Noted about the marking:"})
	}
	for _, line := range untold {
		text := line.Message
		if line.Moment != nil {
			text = line.Moment.clock() + ": " + text
		}
		if line.Accepted != "" {
			text += fmt.Sprintf(" Accepted by %s: %s", line.AcceptedBy, line.Accepted)
		}
		blocks = append(blocks, sheet.Paragraph{Text: text, Tone: sheet.Warning, Link: line.Moment.page()})
	}
	if len(blocks) == 0 {
		return none("Nothing that this report needs is missing.")
	}
	return blocks
}

// told reports whether the list of what is missing says the same already.
func (l WarningLine) told() bool {
	return l.Accepted == "" && (l.Code == timeline.WarnNoEnd || l.Code == timeline.WarnAbsent)
}

func (w writer) comments() []sheet.Block {
	var remarks sheet.Remarks
	for _, thread := range w.Threads {
		for i, said := range thread.Remarks {
			remark := sheet.Remark{Head: said.Author, Where: words.Wall(said.MadeAt, w.edition.zone()), Text: said.Text, Reply: i > 0}
			if said.Drawn {
				remark.Where += " · with a drawing on the frame"
			}
			if i == 0 {
				remark.Where = w.threadPlace(thread) + " · " + remark.Where
				remark.Link = thread.At.page()
				remark.State = map[bool]string{true: "settled", false: "open"}[thread.Settled]
			}
			remarks = append(remarks, remark)
		}
	}
	if len(remarks) == 0 {
		return none("No comments were made.")
	}
	return []sheet.Block{remarks}
}

// threadPlace writes the moment or the span that a thread is about.
func (w writer) threadPlace(t Thread) string {
	text := t.At.clock()
	if t.End != nil && t.End.Clock != nil {
		text += " to " + words.Instant(*t.End.Clock)
	}
	if len(w.Recording) > 1 {
		text += " (" + t.At.inPart() + ")"
	}
	return text
}
