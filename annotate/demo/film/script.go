package film

import "time"

// Script says what one invented case shows and when. Everything seen in its films follows from it.
type Script struct {
	Name          string // of the case, for people
	Width, Height int    // pixels
	RateNum       int64  // frames per second as a fraction
	RateDen       int64
	Seed          uint64 // of the small irregularities: vessels, iris, the surgeon's hand
	Iris          Iris
	Parts         []PartScript
}

// PartScript is one film of a case.
type PartScript struct {
	File       string // name in Films
	Frames     int64
	RecordedAt time.Time
	Cues       []Cue // in order of their start
}

// Cue is something that can be seen from one frame to another. Exactly one of Step, Event and
// Complication is set, to a code of the shipped step list or complication list. The instant of an
// event or complication is StartMs; until EndMs it stays visible.
type Cue struct {
	StartMs      int64 // media time of the first frame that shows it
	EndMs        int64 // media time of the first frame that no longer does
	Step         string
	Event        string
	Complication string
}

// Iris is the colour of the eye.
type Iris int

// The colours used.
const (
	Blue Iris = iota
	Brown
	Hazel
	Grey
)

// FrameMs is the media time at which frame n begins, rounded to a millisecond.
func (s Script) FrameMs(n int64) int64 {
	return (n*s.RateDen*1000 + s.RateNum/2) / s.RateNum
}

// DurationMs is the length of a part.
func (s Script) DurationMs(part int) int64 { return s.FrameMs(s.Parts[part].Frames) }

// offsetMs is the case-clock time of a part's first frame: the parts follow without a gap.
func (s Script) offsetMs(part int) int64 {
	var sum int64
	for i := range part {
		sum += s.DurationMs(i)
	}
	return sum
}

// reel builds a script along its time line. Every moment is put on a frame.
type reel struct {
	script Script
	cursor float64 // seconds in the current part
	start  float64 // of the latest step
}

func newReel(s Script) *reel { return &reel{script: s} }

func (r *reel) file(name string, recordedAt time.Time) *reel {
	r.script.Parts = append(r.script.Parts, PartScript{File: name, RecordedAt: recordedAt})
	r.cursor = 0
	return r
}

func (r *reel) frame(seconds float64) int64 {
	return int64(seconds*float64(r.script.RateNum)/float64(r.script.RateDen) + 0.5)
}

func (r *reel) add(from, to float64, cue Cue) {
	cue.StartMs, cue.EndMs = r.script.FrameMs(r.frame(from)), r.script.FrameMs(r.frame(to))
	part := &r.script.Parts[len(r.script.Parts)-1]
	part.Cues = append(part.Cues, cue)
	for i := len(part.Cues) - 1; i > 0 && part.Cues[i].StartMs < part.Cues[i-1].StartMs; i-- {
		part.Cues[i], part.Cues[i-1] = part.Cues[i-1], part.Cues[i]
	}
}

// step follows the last one after a pause; both in seconds.
func (r *reel) step(pause float64, code string, length float64) *reel {
	r.start = r.cursor + pause
	r.cursor = r.start + length
	r.add(r.start, r.cursor, Cue{Step: code})
	return r
}

// beside is a concurrent step, timed from the start of the latest step.
func (r *reel) beside(after float64, code string, length float64) *reel {
	r.add(r.start+after, r.start+after+length, Cue{Step: code})
	return r
}

// event happens some seconds after the start of the latest step and is seen for a while.
func (r *reel) event(after float64, code string, length float64) *reel {
	r.add(r.start+after, r.start+after+length, Cue{Event: code})
	return r
}

// complication is seen from its instant to the end of the latest step.
func (r *reel) complication(after float64, code string) *reel {
	r.add(r.start+after, r.cursor, Cue{Complication: code})
	return r
}

// end closes the film some seconds after the latest step.
func (r *reel) end(pause float64) *reel {
	r.script.Parts[len(r.script.Parts)-1].Frames = r.frame(r.cursor + pause)
	return r
}
