package film

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// codes reads the codes that the shipped lists know.
func codes(t *testing.T) (exclusive map[string]bool, required []string, events, complications map[string]bool) {
	t.Helper()
	var list struct {
		Steps []struct {
			Code                string
			Exclusive, Required bool
		}
		EventKinds []struct{ Code string }
	}
	var noted []struct{ Code string }
	for path, into := range map[string]any{"../../steplists/phaco.json": &list, "../../complications.json": &noted} {
		content, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(content, into))
	}
	exclusive, events, complications = map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, step := range list.Steps {
		exclusive[step.Code] = step.Exclusive
		if step.Required {
			required = append(required, step.Code)
		}
	}
	for _, kind := range list.EventKinds {
		events[kind.Code] = true
	}
	for _, c := range noted {
		complications[c.Code] = true
	}
	return exclusive, required, events, complications
}

func TestCuesAreInOrderAndKnown(t *testing.T) {
	exclusive, required, events, complications := codes(t)
	for _, s := range Scripts() {
		shown := map[string]bool{}
		for i, film := range s.Parts {
			var last, busy int64
			for _, cue := range film.Cues {
				require.GreaterOrEqual(t, cue.StartMs, last, film.File)
				require.Greater(t, cue.EndMs, cue.StartMs, film.File)
				require.LessOrEqual(t, cue.EndMs, s.DurationMs(i), film.File)
				last = cue.StartMs
				switch {
				case cue.Event != "":
					require.True(t, events[cue.Event], cue.Event)
				case cue.Complication != "":
					require.True(t, complications[cue.Complication], cue.Complication)
				default:
					alone, known := exclusive[cue.Step]
					require.True(t, known, cue.Step)
					shown[cue.Step] = true
					if alone {
						require.GreaterOrEqual(t, cue.StartMs, busy, "%s overlaps in %s", cue.Step, film.File)
						busy = cue.EndMs
					}
				}
			}
		}
		for _, code := range required {
			require.True(t, shown[code], "%s does not show %s", s.Name, code)
		}
	}
}

// What the demo promises: sixteen steps in the quiet case, a split within segment removal, an odd
// frame rate, a WebM file.
func TestScriptsShowWhatTheyPromise(t *testing.T) {
	scripts := Scripts()
	require.Len(t, scripts, 4)
	exclusive, _, _, _ := codes(t)
	steps := map[string]bool{}
	for _, cue := range scripts[0].Parts[0].Cues {
		if exclusive[cue.Step] {
			steps[cue.Step] = true
		}
	}
	require.Len(t, steps, 16)
	first, second := scripts[1].Parts[0], scripts[1].Parts[1]
	lastOf := first.Cues[len(first.Cues)-1]
	require.Equal(t, "removal", lastOf.Step)
	require.Equal(t, scripts[1].DurationMs(0), lastOf.EndMs)
	require.Contains(t, second.Cues, Cue{StartMs: 0, EndMs: 25_600, Step: "removal"})
	require.Equal(t, [2]int64{30000, 1001}, [2]int64{scripts[2].RateNum, scripts[2].RateDen})
	require.True(t, strings.HasSuffix(scripts[3].Parts[0].File, ".webm"))
}

// Every boundary is the time of a frame: at 30000/1001 frame n begins at n x 1001/30 ms, rounded.
func TestBoundariesAreFrames(t *testing.T) {
	require.EqualValues(t, 33, Scripts()[2].FrameMs(1))
	require.EqualValues(t, 1001, Scripts()[2].FrameMs(30))
	require.EqualValues(t, 599_999, Scripts()[2].FrameMs(17_982), "600 s hold 17 982 whole frames")
	for _, s := range Scripts() {
		for _, film := range s.Parts {
			for _, cue := range film.Cues {
				for _, ms := range []int64{cue.StartMs, cue.EndMs} {
					n := (ms*s.RateNum + s.RateDen*500) / (s.RateDen * 1000)
					require.Equal(t, ms, s.FrameMs(n), film.File)
				}
			}
		}
	}
}

// The step list says which sight begins and ends a step; the instruments keep to it on the frame.
func TestInstrumentsPassTheWoundOnTheBoundary(t *testing.T) {
	through := map[string]kind{"side-port": stabBlade, "ovd": cannula, "main-incision": keratome, "hydrodissection": cannula,
		"cortex": aspirator, "bag-filling": cannula, "ovd-removal": aspirator, "antibiotic": cannula,
		"vitrectomy": vitrector, "dye": cannula, "second-instrument": chopper}
	for _, s := range Scripts() {
		p := newPlan(s)
		for code, want := range through {
			for _, e := range p.episodes[code] {
				require.True(t, p.hasAct(want, e.from, e.to), "%s: %s", s.Name, code)
			}
		}
		for _, e := range p.episodes["lens-insertion"] {
			require.True(t, p.comesAt(injector, e.from), s.Name)
			require.InDelta(t, 0.9, p.at(e.to-0.6).implant.open, 0.1)
			require.InDelta(t, 1, p.at(e.to).implant.open, 1e-9, "the trailing haptic is in the bag")
		}
		for _, e := range p.episodes["capsulorhexis"] {
			require.Zero(t, p.at(e.from).torn)
			require.InDelta(t, 1, p.at(e.to).torn, 1e-9)
			require.Zero(t, p.at(e.to).flap, "the flap is out of the eye")
			require.Positive(t, p.at(e.to-0.04).flap)
		}
		for _, e := range p.episodes["division"] {
			require.Zero(t, p.at(e.from).gaps[1])
			require.Positive(t, p.at(e.from + 0.2).gaps[1], "the first crack")
		}
		removal, _ := p.first("removal")
		require.InDelta(t, 0, p.at(removal.to).pieces[3].size, 0.01)
	}
}

func (p *plan) hasAct(k kind, from, to float64) bool {
	for _, a := range p.acts {
		if a.kind == k && a.in == from && a.out == to {
			return true
		}
	}
	return false
}

func (p *plan) comesAt(k kind, at float64) bool {
	for _, a := range p.acts {
		if a.kind == k && a.in == at {
			return true
		}
	}
	return false
}

func TestTroublesAreSeenAtTheirInstant(t *testing.T) {
	p := newPlan(Scripts()[2])
	contact := p.events["fragment-contact"][0]
	require.InDelta(t, 1, p.at(contact.from).contact, 1e-9)
	require.Zero(t, p.at(contact.from-0.04).contact)
	lifted := 0
	for _, piece := range p.at(contact.from).pieces {
		if piece.lift > 0.99 {
			lifted++
		}
	}
	require.Equal(t, 1, lifted)
	collapse := p.events["chamber-collapse"][0]
	require.Zero(t, p.at(collapse.from).shallow)
	require.Greater(t, p.at(collapse.from+1).shallow, 0.9)
	tear := p.events["posterior-capsule-rupture"][0]
	require.Zero(t, p.at(tear.from).hole)
	require.Greater(t, p.at(tear.from+0.2).hole, 0.5)
	require.Zero(t, p.at(p.episodes["vitrectomy"][0].to).strands)
}
