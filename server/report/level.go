package report

import (
	"fmt"
	"strconv"

	"zonule/annotate"
	"zonule/server/report/words"
)

// Level is the case beside the unit's other cases of the same technique.
type Level struct {
	annotate.CaseLevel
	// Moments are those of the complications, in their order; null where one has no instant.
	Moments []*Moment `json:"moments"`
}

// level takes over what the file tells; nil when it tells nothing.
func (b builder) level() *Level {
	if b.Level == nil {
		return nil
	}
	l := &Level{CaseLevel: *b.Level, Moments: []*Moment{}}
	for _, c := range l.Complications {
		l.Moments = append(l.Moments, b.moment(c.At))
	}
	return l
}

// sayLevel flags a loss beyond its prediction interval; "" for any other.
func sayLevel(r Report) string {
	if r.Level == nil || r.Level.Loss == nil || !r.Level.Loss.Beyond {
		return ""
	}
	l := r.Level.Loss
	return fmt.Sprintf("Flag: the endothelial loss at %s (%s %%) is larger than the unit's other cases lead one to expect of such an eye with such a %s (95 %% prediction interval %s to %s %%, n %d).",
		words.Window(annotate.Window(l.Window)), words.Number(l.Observed, 1), l.AdjustedFor[0], words.Number(l.Low, 1), words.Number(l.High, 1), l.N)
}

// levelRows are the rows of the CSV: each exposure with its reference, the loss, each complication with its share.
func (t *csvTable) levelRows(r Report) {
	if r.Level == nil {
		return
	}
	for _, e := range r.Level.Exposures {
		row := csvRow{"code": e.Code, "name": e.Name, "value": optional(e.Value), "unit": e.Unit, "n": strconv.Itoa(e.N), "percentile": optional(e.Percentile), "text": e.Why}
		if ref := e.Reference; ref != nil {
			row["median"], row["q1"], row["q3"] = decimals(ref.Median), decimals(ref.Q1), decimals(ref.Q3)
		}
		t.add("beside-others", row)
	}
	if l := r.Level.Loss; l != nil {
		t.add("loss-expected", csvRow{"code": l.Window, "value": decimals(l.Expected), "unit": "%", "low": decimals(l.Low), "high": decimals(l.High), "n": strconv.Itoa(l.N), "text": l.Text})
	} else {
		t.add("loss-expected", csvRow{"text": r.Level.WhyNoLoss})
	}
	for i, c := range r.Level.Complications {
		row := moment(csvRow{"code": c.Kind, "name": c.Name, "text": c.Text}, r.Level.Moments[i])
		share := c.Ever
		if c.InStep != nil {
			share = *c.InStep
		}
		row["value"], row["unit"], row["low"], row["high"], row["n"] = optional(share.Percent), "%", optional(share.Low), optional(share.High), strconv.Itoa(share.Cases)
		t.add("complication-share", row)
	}
	t.add("beside-others", csvRow{"code": "stands-out", "text": r.Level.StandsOut})
	t.add("beside-others", csvRow{"code": "cannot-say", "text": r.Level.CannotSay})
}
