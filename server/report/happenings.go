package report

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"sync"

	"zonule/annotate"
	"zonule/server/report/words"
)

// happenings gives events and complications: those of the operation by their time, then those after it by their date.
func (b builder) happenings() []Happening {
	all := []Happening{}
	for _, e := range b.reading().Events {
		all = append(all, Happening{
			Kind: kindEvent, Phase: intraoperative, Code: e.Kind, Name: b.eventName(e.Kind), At: b.moment(&e.At), Step: b.running(&e.At), Note: e.Note,
		})
	}
	for _, c := range b.Complications {
		kind := complicationKind(c.Kind)
		h := Happening{
			Kind: kindComplication, Phase: kind.Phase, Code: c.Kind, Name: kind.Name, CapsuleRupture: kind.CapsuleRupture,
			At: b.moment(c.At), Step: b.running(c.At), OnDate: c.OnDate, Severity: c.Severity, Action: c.Action, ResolvedOn: c.ResolvedOn, Note: c.Note,
		}
		switch {
		case c.At != nil:
			h.Phase = intraoperative
		case h.Phase == "" && c.OnDate != "":
			h.Phase = postoperative
		case h.Phase == "":
			h.Phase = intraoperative
		}
		all = append(all, h)
	}
	slices.SortStableFunc(all, func(x, y Happening) int {
		return cmp.Or(cmp.Compare(phaseOrder[x.Phase], phaseOrder[y.Phase]), byClock(x.At, y.At), cmp.Compare(x.OnDate, y.OnDate), cmp.Compare(x.Code, y.Code))
	})
	return all
}

const (
	intraoperative = "intraoperative"
	postoperative  = "postoperative"
)

var phaseOrder = map[string]int{intraoperative: 0, postoperative: 1}

// threads gives each comment that opens a thread with its answers in the order in which they were made.
func (b builder) threads() []Thread {
	threads := []Thread{}
	comments := slices.Clone(b.reading().Comments)
	slices.SortStableFunc(comments, func(x, y annotate.Comment) int {
		return cmp.Or(cmp.Compare(x.MadeAt, y.MadeAt), cmp.Compare(x.Seq, y.Seq), cmp.Compare(x.ID, y.ID))
	})
	opens := func(c annotate.Comment) bool {
		return c.ReplyTo == "" || !slices.ContainsFunc(comments, func(o annotate.Comment) bool { return o.ID == c.ReplyTo })
	}
	for _, c := range comments {
		if !opens(c) {
			continue
		}
		thread := Thread{At: b.moment(&c.At), End: b.moment(c.End), Settled: c.Settled, Step: b.running(&c.At), Remarks: []Remark{b.remark(c)}}
		for _, answer := range comments {
			if answer.ReplyTo == c.ID && answer.ID != c.ID {
				thread.Remarks = append(thread.Remarks, b.remark(answer))
			}
		}
		threads = append(threads, thread)
	}
	slices.SortStableFunc(threads, func(x, y Thread) int { return byClock(x.At, y.At) })
	return threads
}

func (b builder) remark(c annotate.Comment) Remark {
	return Remark{b.person(c.AuthorID), c.MadeAt, c.Text, c.Shape != nil}
}

// warnings gives what the timeline warns of, and the reason where somebody accepted it.
func (b builder) warnings() []WarningLine {
	lines := []WarningLine{}
	for _, w := range b.result.Warnings {
		line := WarningLine{Warning: w, Moment: b.moment(w.At)}
		for _, a := range b.reading().Acceptances {
			if a.ID == w.Key {
				line.Accepted, line.AcceptedBy = a.Reason, b.person(a.AuthorID)
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// complicationKinds is the list that complications are recorded from. It is shipped with the program, and so is asked
// of a service that has no store.
var complicationKinds = sync.OnceValue(func() []annotate.ComplicationKind {
	return new(annotate.Service).Catalogue(context.Background()).Complications
})

// complicationKind finds a kind of complication; one that the list no longer has is told by its code.
func complicationKind(code string) annotate.ComplicationKind {
	kinds := complicationKinds()
	at := slices.IndexFunc(kinds, func(k annotate.ComplicationKind) bool { return k.Code == code })
	if at < 0 {
		return annotate.ComplicationKind{Code: code, Name: words.Upper(strings.ReplaceAll(code, "-", " "))}
	}
	return kinds[at]
}

func complicationName(code string) string { return complicationKind(code).Name }
