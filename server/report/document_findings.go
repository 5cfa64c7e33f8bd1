package report

import (
	"fmt"

	"zonule/annotate"
	"zonule/server/report/sheet"
	"zonule/server/report/words"
	"zonule/timeline"
)

// findings words what was found and learned, with the moments of the recording that it names.
func (w writer) findings() []sheet.Block {
	var passages sheet.Passages
	count := map[annotate.FindingKind]int{}
	unsure := false
	for _, line := range w.Findings {
		count[line.Kind]++
		head := map[annotate.FindingKind]string{annotate.FindingSeen: "Finding", annotate.FindingLearning: "Learning point"}[line.Kind]
		passage := sheet.Passage{Head: fmt.Sprintf("%s %d", head, count[line.Kind]), By: line.Author}
		at := 0
		for _, moment := range line.Moments {
			passage.Runs = append(passage.Runs, sheet.Run{Text: line.Text[at:moment.Start]}, sheet.Run{Text: line.Text[moment.Start:moment.End], Link: moment.At.page()})
			at = moment.End
			picture := w.picture(moment)
			unsure = unsure || picture.JPEG != nil && !w.blinded() && !w.cleared(moment.At)
			passage.Pictures = append(passage.Pictures, picture)
		}
		passage.Runs = append(passage.Runs, sheet.Run{Text: line.Text[at:]})
		passages = append(passages, passage)
	}
	if len(passages) == 0 {
		return nil
	}
	blocks := []sheet.Block{passages}
	if unsure {
		blocks = append(blocks, sheet.Paragraph{
			Text: "Nobody has said yet that no name, date or number is burned into these pictures. Look at them before this report goes to anybody else.", Tone: sheet.Warning,
		})
	}
	return blocks
}

// picture shows a moment: where it lies, and what it looks like if a picture could be taken.
func (w writer) picture(moment FindingMoment) sheet.Picture {
	if moment.At == nil {
		return sheet.Picture{Caption: timeline.WriteMoment(moment.Part, moment.Ms), Sub: "The recording holds no such moment."}
	}
	picture := sheet.Picture{JPEG: w.edition.Stills[StillAt{moment.At.PartID, moment.At.Ms}], Caption: moment.At.clock(), Link: moment.At.page(), Sub: w.stepAt(moment.At)}
	if moment.At.Clock == nil {
		picture.Caption = words.Instant(moment.At.Ms)
	}
	if len(w.Recording) > 1 {
		picture.Caption += " (" + moment.At.inPart() + ")"
	}
	return picture
}

// stepAt names the step that ran at a moment; "" when none did.
func (w writer) stepAt(at *Moment) string {
	for _, line := range w.Sheet {
		if line.Kind == kindStep && at.Clock != nil && line.At != nil && line.At.Clock != nil && line.End != nil &&
			*line.At.Clock <= *at.Clock && *at.Clock < *line.End {
			return line.Name
		}
	}
	return ""
}

func (w writer) cleared(at *Moment) bool {
	for _, part := range w.Recording {
		if part.ID == at.PartID {
			return part.Cleared
		}
	}
	return false
}
