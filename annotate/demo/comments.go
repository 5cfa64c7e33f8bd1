package demo

import (
	"time"

	"zonule/annotate"
)

// remark is what a trainer may say at a step, and what the trainee may answer.
type remark struct {
	step, text, answer string
}

var remarks = []remark{
	{step: "capsulorhexis", text: "The flap ran out here because the chamber was shallow. Fill it again before you pull.", answer: "Understood, I topped up one quadrant too late."},
	{step: "capsulorhexis", text: "Good: you regrasped early and kept the tear in view."},
	{step: "main-incision", text: "The tunnel is short on the left side; look at the wound leak at the end."},
	{step: "hydrodissection", text: "Wait for the wave to pass before you rock the nucleus.", answer: "Yes. It turned only at the third try."},
	{step: "sculpting", text: "Deeper in the centre before you crack; the walls still touch.", answer: "I was afraid of the depth. Can we measure it next time?"},
	{step: "removal", text: "The tip is close to the endothelium here. Bring the piece down first."},
	{step: "removal", text: "Well held: second instrument under the tip the whole time."},
	{step: "cortex", text: "Subincisional cortex: change the hand rather than the angle."},
	{step: "lens-insertion", text: "Leading haptic down before you push."},
	{step: "wound-closure", text: "Check the side port too."},
	{step: "removal", text: "Παρακαλώ δείτε τη θέση του δεύτερου εργαλείου εδώ.", answer: "Το είδα, ευχαριστώ."},
	{step: "cortex", text: "यहाँ कैप्सूल को खींचा जा रहा है, सावधानी से।"},
	{step: "capsulorhexis", text: "Клапоть іде назовні: зупинись і додай в'язкоеластик.", answer: "Зрозуміло."},
	{step: "removal", text: "後嚢がここで近いです。吸引を下げましょう。"},
	{step: "division", text: "هذه الخطوة جيدة، لكن انتبه لعمق الإبرة."},
	{step: "lens-insertion", text: "Muito bem: entrada limpa e sem tocar na íris."},
}

// comments adds the trainer's remarks to a supervised case; the newest are often still open.
func (w *scribe) comments(c course) {
	if w.slot.trainer == "" || !w.chance(0.55) {
		return
	}
	trainer, lead := w.in.users[w.slot.trainer].ID, w.record.Reading.AuthorID
	w.at += int64(w.between(6, 60)) * time.Hour.Milliseconds()
	now := w.in.options.Today.UnixMilli()
	recent := now-w.at < 28*24*time.Hour.Milliseconds()
	w.at = min(w.at, now-1_800_000)
	wanted, offset := w.between(1, 2), w.IntN(len(remarks))
	for i := range remarks {
		said := remarks[(i+offset)%len(remarks)]
		e, ok := firstEpisode(c, said.step)
		if !ok || wanted == 0 {
			continue
		}
		wanted--
		comment := annotate.Comment{
			ID: w.id(w.at), AuthorID: trainer, MadeAt: w.at, At: instant(w.record.Parts, e.start+(e.end-e.start)*2/5),
			Text: said.text,
		}
		if w.chance(0.3) {
			comment.Shape = &annotate.Shape{Kind: "ring", Points: [][2]float64{{0.52, 0.47}, {0.60, 0.47}}}
		}
		base := w.comment(trainer, comment)
		if said.answer != "" && w.chance(0.7) {
			w.comment(lead, annotate.Comment{ID: w.id(w.at), AuthorID: lead, MadeAt: w.at, At: comment.At, Text: said.answer, ReplyTo: comment.ID})
		}
		if !recent || w.chance(0.3) {
			comment.Settled = true
			w.edit("settle", trainer, annotate.Change{Thing: annotate.ThingComment, ID: comment.ID, Base: base, Comment: &comment})
		}
	}
}

// comment adds one; the journal keeps its own copy, so that settling it later leaves the first version as it was.
func (w *scribe) comment(authorID string, comment annotate.Comment) int64 {
	return w.edit("comment", authorID, annotate.Change{Thing: annotate.ThingComment, ID: comment.ID, Comment: &comment})
}

func firstEpisode(c course, step string) (episode, bool) {
	for _, e := range c.episodes {
		if e.step == step {
			return e, true
		}
	}
	return episode{}, false
}
