package report

import (
	"slices"
	"strconv"

	"zonule/annotate"
	"zonule/timeline"
)

// FindingLine is a finding or a learning point.
type FindingLine struct {
	Kind        annotate.FindingKind `json:"kind"`
	Text        string               `json:"text"`
	Author      string               `json:"author"`
	NamesNobody bool                 `json:"namesNobody"` // its author says so; only then it stands in the blinded edition
	Moments     []FindingMoment      `json:"moments"`
}

// FindingMoment is a moment written into the text.
type FindingMoment struct {
	timeline.WrittenMoment
	At *Moment `json:"at"` // null when the recording holds no such moment
}

func (b builder) findings() []FindingLine {
	lines := []FindingLine{}
	for _, f := range b.Findings {
		line := FindingLine{Kind: f.Kind, Text: f.Text, Author: b.person(f.AuthorID), NamesNobody: f.NamesNobody, Moments: []FindingMoment{}}
		for _, written := range timeline.WrittenMoments(f.Text) {
			line.Moments = append(line.Moments, FindingMoment{written, b.moment(b.instant(written))})
		}
		lines = append(lines, line)
	}
	return lines
}

// instant finds what a written moment means; nil when the recording does not reach there.
func (b builder) instant(written timeline.WrittenMoment) *timeline.Instant {
	if written.Part == 0 {
		if at, ok := b.input.Clock.Media(written.Ms); ok {
			return &at
		}
		return nil
	}
	for _, part := range b.Parts {
		if part.Position == written.Part && written.Ms <= part.Facts.Duration {
			return &timeline.Instant{Part: part.ID, Ms: written.Ms}
		}
	}
	return nil
}

// findingRows adds each text, and a row for each moment in it.
func (t *csvTable) findingRows(r Report) {
	for i, line := range r.Findings {
		n := strconv.Itoa(i + 1)
		t.add("finding", csvRow{"code": string(line.Kind), "n": n, "person": line.Author, "text": line.Text})
		for _, m := range line.Moments {
			t.add("finding-moment", moment(csvRow{"code": string(line.Kind), "n": n, "text": line.Text[m.Start:m.End]}, m.At))
		}
	}
}

// mostStills bounds the pictures of one report.
const mostStills = 24

// StillsWanted gives the moments of the findings of which a picture should be shown, each once.
func (r Report) StillsWanted() []StillAt {
	wanted := []StillAt{}
	for _, line := range r.Findings {
		for _, moment := range line.Moments {
			if moment.At == nil || moment.At.Part == 0 || len(wanted) == mostStills {
				continue
			}
			if at := (StillAt{moment.At.PartID, moment.At.Ms}); !slices.Contains(wanted, at) {
				wanted = append(wanted, at)
			}
		}
	}
	return wanted
}
