package film

import (
	"math"
	"math/rand/v2"
)

// span is a stretch of the case clock, in seconds.
type span struct{ from, to float64 }

// plan is a script on one time line, its parts joined.
type plan struct {
	episodes map[string][]span // of steps, joined where they touch
	events   map[string][]span // of events and complications
	acts     []act
	white    bool // a white cataract, which is stained
	sway     [6]float64
}

func newPlan(s Script) *plan {
	p := &plan{episodes: map[string][]span{}, events: map[string][]span{}}
	for i, film := range s.Parts {
		offset := s.offsetMs(i)
		for _, cue := range film.Cues {
			at := span{float64(offset+cue.StartMs) / 1000, float64(offset+cue.EndMs) / 1000}
			switch {
			case cue.Step != "":
				p.addEpisode(cue.Step, at)
			case cue.Event != "":
				p.events[cue.Event] = append(p.events[cue.Event], at)
			default:
				p.events[cue.Complication] = append(p.events[cue.Complication], at)
			}
		}
	}
	random := rand.New(rand.NewPCG(s.Seed, 2))
	for i := range p.sway {
		p.sway[i] = random.Float64() * fullTurn
	}
	p.white = len(p.episodes["dye"]) > 0
	p.choreograph()
	return p
}

func (p *plan) addEpisode(code string, at span) {
	list := p.episodes[code]
	if n := len(list); n > 0 && at.from-list[n-1].to < 0.002 {
		list[n-1].to = at.to
		return
	}
	p.episodes[code] = append(list, at)
}

// progress is how far a step has come at t, over all its episodes; it rests during a top-up.
func (p *plan) progress(code string, t float64) float64 {
	var done, whole float64
	for _, e := range p.episodes[code] {
		done += p.worked(e, t)
		whole += p.worked(e, e.to)
	}
	if whole == 0 {
		return 0
	}
	return done / whole
}

func (p *plan) worked(e span, t float64) float64 {
	t = max(e.from, min(e.to, t))
	sum := t - e.from
	for _, pause := range p.events["ovd-top-up"] {
		sum -= max(0, min(t, pause.to+topUpReturn)-max(e.from, pause.from-topUpLeave))
	}
	return sum
}

// The instrument is out of the eye this long, in seconds, before and after an OVD top-up.
const topUpLeave, topUpReturn = 1.6, 1.8

// first gives the first episode of a step; ok is false when the operation has none.
func (p *plan) first(code string) (span, bool) {
	list := p.episodes[code]
	if len(list) == 0 {
		return span{}, false
	}
	return list[0], true
}

// event gives the first event of a kind as a share of its visible time; -1 when it is not now.
func (p *plan) event(code string, t float64) float64 {
	for _, e := range p.events[code] {
		if t >= e.from && t < e.to {
			return part(t, e.from, e.to)
		}
	}
	return -1
}

// hand is the small sway of a hand that holds an instrument.
func (p *plan) hand(t float64, which int) point {
	a, b := p.sway[which%6], p.sway[(which+3)%6]
	return point{
		0.9*math.Sin(t*1.9+a) + 0.4*math.Sin(t*4.3+b),
		0.8*math.Sin(t*1.6+b) + 0.4*math.Cos(t*3.9+a),
	}
}
