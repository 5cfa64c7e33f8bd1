package film

import (
	"math"
	"slices"
)

// axisAngle is the direction in which the phaco tip points.
var axisAngle = angleOf(mainPort.inward())

// grasps is how often the flap of the capsule is taken anew.
const grasps = 5

// tornAt is how far the capsule is opened: a nick first, then grasp after grasp.
func (p *plan) tornAt(t float64) float64 {
	k := part(p.progress("capsulorhexis", t), 0.05, 0.9) * grasps
	whole := math.Floor(min(k, grasps))
	return min(1, (whole+smooth(part(k-whole, 0, 0.72)))/grasps)
}

// tearTip is where the forceps hold the capsule.
func (p *plan) tearTip(t float64) point {
	k := p.progress("capsulorhexis", t)
	front := startOfTear + fullTurn*p.tornAt(t)
	if k < 0.05 {
		return polar(startOfTear, mix(26, opening, smooth(part(k, 0, 0.05))))
	}
	pull := polar(front+0.10, opening-17)
	return pull.toward(polar(front-0.1, opening-4), 1-p.jawsClosed(t))
}

func (p *plan) jawsClosed(t float64) float64 {
	k := part(p.progress("capsulorhexis", t), 0.05, 0.9) * grasps
	if k >= grasps {
		return 1
	}
	return 1 - swell(part(k-math.Floor(k), 0.74, 1))
}

func (p *plan) jawsOpen(t float64) float64 { return 1 - p.jawsClosed(t) }

// turned is the turn of the nucleus: loosened after hydrodissection, then by a quarter for the
// second groove, and by a quarter between the two cracks.
func (p *plan) turned(t float64) float64 {
	sculpt, divide := p.progress("sculpting", t), p.progress("division", t)
	return axisAngle - degrees(64)*(1-smooth(part(p.progress("hydrodissection", t), 0.6, 0.92))) -
		math.Pi/2*smooth(part(sculpt, 0.45, 0.55)) - math.Pi/2*smooth(part(divide, 0.36, 0.54))
}

// groovesAt gives both grooves as far as they are sculpted.
func (p *plan) groovesAt(t float64) [2]groove {
	k := p.progress("sculpting", t)
	var list [2]groove
	for i, share := range [2][2]float64{{0, 0.45}, {0.55, 1}} {
		if done := part(k, share[0], share[1]); done > 0 {
			list[i] = groove{length: mix(16, 64, smooth(min(1, done*1.5))), depth: done}
		}
	}
	return list
}

// gapsAt gives the width of both cracks.
func (p *plan) gapsAt(t float64) [2]float64 {
	k := p.progress("division", t)
	open := func(from, to float64) float64 {
		return 3.2*smooth(part(k, from, (from+to)/2)) + 9*swell(part(k, from, to))
	}
	return [2]float64{open(0.58, 0.9), open(0, 0.3)}
}

// phacoWork is the path of the phaco tip from sculpting to the last segment.
func (p *plan) phacoWork(t float64) point {
	inward := mainPort.inward()
	sculpt, divide, remove := p.progress("sculpting", t), p.progress("division", t), p.progress("removal", t)
	switch {
	case remove > 0:
		return p.gripIris(t, p.removalTip(t, remove))
	case divide > 0:
		gaps := p.gapsAt(t)
		return inward.times(8).plus(inward.across().times(3 + 0.8*max(gaps[0], gaps[1])))
	case sculpt > 0.45 && sculpt < 0.55:
		k := smooth(part(sculpt, 0.45, 0.55))
		return polar(axisAngle+math.Pi+0.5-k*1.1, 46)
	}
	grooves := p.groovesAt(t)
	g := grooves[0]
	if sculpt >= 0.55 {
		g = grooves[1]
	}
	// One stroke takes 1.7 s: slowly forward while cutting, quickly back.
	stroke := math.Mod(t, 1.7) / 1.7
	along := smooth(part(stroke, 0, 0.7)) - smooth(part(stroke, 0.7, 1))
	if sculpt <= 0 {
		along = 0
	}
	return inward.times(mix(-0.6*max(g.length, 16), 0.94*max(g.length, 16), along))
}

var holdAt = point{7, 6}

// removalTip goes to the point of each quarter, draws it to the middle and holds it there.
func (p *plan) removalTip(t, k float64) point {
	i, q := quarter(k)
	if i > 3 {
		return holdAt
	}
	middle := p.turned(t) + math.Pi/4 + float64(i)*math.Pi/2
	home := polar(middle, 20)
	switch {
	case q < 0.16:
		return holdAt.toward(home, smooth(part(q, 0, 0.16)))
	case q < 0.36:
		return home.toward(holdAt, smooth(part(q, 0.18, 0.36)))
	}
	return holdAt.plus(ringing(t, 9, 1.1))
}

// quarter tells which of four pieces is being removed, and how far.
func quarter(k float64) (int, float64) {
	i := int(math.Floor(k * 4))
	return i, k*4 - float64(i)
}

// gripIris leads the tip to the rim of the pupil when the iris is caught.
func (p *plan) gripIris(t float64, tip point) point {
	if k := p.event("iris-contact", t); k >= 0 {
		return tip.toward(polar(irisGrip, dilated-4-14*swell(k)), smooth(min(1, 4*swell(k))))
	}
	return tip
}

// irisGrip is the angle at which the iris is caught.
const irisGrip = 0.25

// chopperWork is the path of the second instrument.
func (p *plan) chopperWork(t float64) point {
	divide, remove := p.progress("division", t), p.progress("removal", t)
	inward := mainPort.inward()
	switch {
	case remove > 0:
		i, q := quarter(remove)
		middle := p.turned(t) + math.Pi/4 + float64(i)*math.Pi/2
		return point{-20, 18}.toward(polar(middle, 40), 0.55*swell(part(q, 0, 0.6)))
	case divide > 0:
		gaps := p.gapsAt(t)
		open := max(gaps[0], gaps[1])
		if divide > 0.36 && divide < 0.54 {
			return polar(degrees(150)-degrees(60)*smooth(part(divide, 0.36, 0.54)), 40)
		}
		return inward.times(14).minus(inward.across().times(3 + 0.8*open))
	}
	return point{-30, 22}
}

// pieceAt gives one quarter of the nucleus at t.
func (p *plan) pieceAt(i int, t float64) fragment {
	now, q := quarter(p.progress("removal", t))
	switch {
	case i > now:
		return fragment{size: 1}
	case i < now:
		return fragment{}
	}
	f := fragment{drawn: smooth(part(q, 0.18, 0.36)), size: 1 - part(q, 0.38, 0.97), at: holdAt}
	if q > 0.36 {
		f.turn = 0.12*math.Sin(t*8) + 1.1*part(q, 0.36, 1)
		f.at = f.at.plus(ringing(t, 9, 1))
	}
	if k := p.event("fragment-contact", t+contactRise); k >= 0 {
		f.lift = p.lift(t)
		f.turn += 1.2 * f.lift
		middle := p.turned(t) + math.Pi/4 + float64(i)*math.Pi/2 + f.turn
		f.at = f.at.toward(contactAt.minus(polar(middle, 0.55*nucleus*f.size)), f.lift)
	}
	return f
}

// contactAt is where the endothelium is touched.
var contactAt = point{-48, -52}

// contactRise is how long, in seconds, a fragment rises before it touches.
const contactRise = 0.48

// lift is 1 at the instant of contact.
func (p *plan) lift(t float64) float64 {
	list := p.events["fragment-contact"]
	switch {
	case len(list) == 0:
		return 0
	case t < list[0].from:
		return smooth(part(t, list[0].from-contactRise, list[0].from))
	}
	return 1 - smooth(part(t, list[0].from+0.15, list[0].to-contactRise))
}

// cortexOrder takes the strip under the incision last.
var cortexOrder = [wedges]int{6, 7, 5, 8, 4, 9, 3, 0, 2, 1}

// cortexStep tells which strip is taken and how far.
func (p *plan) cortexStep(t float64) (int, float64) {
	k := p.progress("cortex", t) * wedges
	i := int(math.Floor(k))
	return i, k - float64(i)
}

func (p *plan) cortexWork(t float64) point {
	i, q := p.cortexStep(t)
	if i >= wedges {
		return point{10, 8}
	}
	angle := float64(cortexOrder[i]) * fullTurn / wedges
	middle, rim := polar(angle, 12), polar(angle, 74)
	switch {
	case q < 0.3:
		return point{6, 6}.toward(rim, smooth(part(q, 0, 0.3)))
	case q < 0.75:
		return rim.toward(middle, smooth(part(q, 0.34, 0.75)))
	}
	return middle.toward(point{6, 6}, part(q, 0.75, 1))
}

func (p *plan) wedgeAt(place int, t float64) fragment {
	now, q := p.cortexStep(t)
	switch order := slices.Index(cortexOrder[:], place); {
	case order > now:
		return fragment{size: 1}
	case order < now:
		return fragment{}
	}
	return fragment{drawn: smooth(part(q, 0.34, 0.75)), size: 1 - part(q, 0.72, 0.98)}
}

// hookWork leads the trailing haptic into the bag, then turns the lens.
func (p *plan) hookWork(t float64) point {
	e, _ := p.first("lens-insertion")
	push := polar(degrees(40), 78).toward(polar(degrees(25), 56), smooth(part(t, e.to-1, e.to)))
	k := p.progress("lens-positioning", t)
	turn, turns := p.first("lens-positioning")
	if !turns {
		return push
	}
	onLens := polar(degrees(30)+degrees(48)*smooth(k), 58)
	free := push.toward(point{58, 52}, swell(part(t, e.to, turn.from)))
	return free.toward(onLens, smooth(part(t, turn.from-0.5, turn.from)))
}
