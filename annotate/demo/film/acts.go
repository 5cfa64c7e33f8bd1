package film

import "math"

// act is an instrument that comes, works and goes. in and out are the instants at which its tip
// passes the wound (or touches and leaves the place of work, for one that stays outside).
type act struct {
	kind    kind
	port    port
	in, out float64
	outside bool
	work    func(t float64) point
	spread  func(t float64) float64
}

const (
	approach = 0.9 // seconds from the edge of the picture to the wound
	reach    = 0.7 // from the wound to the place of work
	retreat  = 0.6 // back to the wound
	leave    = 0.8 // and out of the picture
)

// tip gives the place of the tip at t; ok is false when the instrument is not in the picture.
func (a act) tip(t float64) (point, bool) {
	entry, exit := a.port.wound(), a.port.wound()
	if a.outside {
		entry, exit = a.work(a.in), a.work(a.out)
	}
	away := a.port.inward().times(-250)
	switch {
	case t < a.in-approach || t > a.out+leave:
		return point{}, false
	case t < a.in:
		return entry.plus(away).toward(entry, smooth(part(t, a.in-approach, a.in))), true
	case t >= a.out:
		return exit.toward(exit.plus(away), smooth(part(t, a.out, a.out+leave))), true
	}
	at := a.work(t)
	if !a.outside {
		at = entry.toward(at, smooth(part(t, a.in, a.in+reach)))
		at = at.toward(exit, smooth(part(t, a.out-retreat, a.out)))
	}
	return at, true
}

// tools gives the instruments in the picture at t.
func (p *plan) tools(t float64) []tool {
	var list []tool
	for i, a := range p.acts {
		tip, ok := a.tip(t)
		if !ok {
			continue
		}
		shown := tool{kind: a.kind, port: a.port, tip: tip}
		// The wound holds the shaft, so the sway is least as the tip passes it.
		shown.tip = tip.plus(p.hand(t, i).times(0.25 + 0.75*part(math.Min(t-a.in, a.out-t), 0, 1)))
		if a.spread != nil {
			shown.spread = a.spread(t)
		}
		list = append(list, shown)
	}
	return list
}

func (p *plan) add(a act) { p.acts = append(p.acts, a) }

// choreograph decides which instruments come for which step, and when they pass the wound: each
// step list entry says what its beginning and its end look like, and the act keeps to it.
func (p *plan) choreograph() {
	p.openingActs()
	p.capsuleActs()
	p.nucleusActs()
	p.cortexActs()
	p.lensActs()
	p.closingActs()
}

// simple adds an act for every episode of a step, in and out on its boundaries.
func (p *plan) simple(code string, k kind, through port, work func(t float64, e span) point) {
	for _, e := range p.episodes[code] {
		p.add(act{kind: k, port: through, in: e.from, out: e.to,
			work: func(t float64) point { return work(t, e) }})
	}
}

func (p *plan) openingActs() {
	p.simple("side-port", stabBlade, sidePort, func(t float64, e span) point {
		return sidePort.wound().plus(sidePort.inward().times(24 * swell(part(t, e.from, e.to))))
	})
	inject := func(t float64, e span) point {
		k := part(t, e.from, e.to)
		return point{mix(52, -10, smooth(k)), mix(-38, 14, k)}
	}
	p.simple("ovd", cannula, sidePort, inject)
	p.simple("dye", cannula, sidePort, inject)
	p.simple("main-incision", keratome, mainPort, func(t float64, e span) point {
		return mainPort.wound().plus(mainPort.inward().times(46 * swell(part(t, e.from, e.to))))
	})
}

func (p *plan) capsuleActs() {
	if e, ok := p.first("capsulorhexis"); ok {
		from := e.from - 1.2 // so that the tip is on the capsule when the step begins
		work := func(t float64) point { return p.tearTip(t) }
		spread := func(t float64) float64 { return p.jawsOpen(t) }
		for _, pause := range p.events["ovd-top-up"] {
			p.add(act{kind: forceps, port: mainPort, in: from, out: pause.from - 0.7, work: work, spread: spread})
			p.add(act{kind: cannula, port: sidePort, in: pause.from, out: pause.to, work: func(t float64) point {
				return point{mix(-20, 20, part(t, pause.from, pause.to)), 8}
			}})
			from = pause.to + 0.8
		}
		p.add(act{kind: forceps, port: mainPort, in: from, out: e.to, work: work, spread: spread})
	}
	p.simple("hydrodissection", cannula, mainPort, func(t float64, e span) point {
		k := part(t, e.from, e.to)
		under := polar(degrees(20), 68)
		turning := polar(degrees(330)+degrees(70)*smooth(part(k, 0.6, 0.9)), 44)
		return under.toward(turning, smooth(part(k, 0.5, 0.6)))
	})
}

func (p *plan) nucleusActs() {
	start, sculpts := p.first("sculpting")
	end, removes := p.first("removal")
	if sculpts && removes {
		p.add(act{kind: phacoTip, port: mainPort, in: start.from - 2, out: end.to,
			work: func(t float64) point { return p.phacoWork(t) }})
	}
	p.simple("second-instrument", chopper, sidePort, func(t float64, _ span) point { return p.chopperWork(t) })
}

func (p *plan) cortexActs() {
	p.simple("cortex", aspirator, mainPort, func(t float64, _ span) point { return p.cortexWork(t) })
	for _, e := range p.episodes["polishing"] {
		p.add(act{kind: aspirator, port: mainPort, in: e.from - 0.9, out: e.to + 0.7, work: func(t float64) point {
			k := part(t, e.from, e.to)
			return polar(k*5*fullTurn, mix(8, 47, k)).plus(polar(t*7, 3*swell(k)))
		}})
	}
	p.simple("vitrectomy", vitrector, mainPort, func(t float64, e span) point {
		k := part(t, e.from, e.to)
		return tearAt.plus(polar(k*3*fullTurn, 6+20*swell(k))).plus(point{6, 6})
	})
	for _, e := range p.episodes["vitrectomy"] {
		p.add(act{kind: cannula, port: sidePort, in: e.from + 0.8, out: e.to - 0.8, work: func(t float64) point {
			return point{-66, 20}.plus(polar(t*0.8, 5))
		}})
	}
	for i := range p.acts {
		if p.acts[i].kind == vitrector {
			p.acts[i].spread = func(t float64) float64 { return 0.5 + 0.5*math.Sin(t*38) }
		}
	}
}

func (p *plan) lensActs() {
	p.simple("bag-filling", cannula, mainPort, func(t float64, e span) point {
		return point{14, 10}.toward(point{-34, -30}, swell(part(t, e.from, e.to)))
	})
	e, ok := p.first("lens-insertion")
	if !ok {
		return
	}
	length := e.to - e.from
	p.add(act{kind: injector, port: mainPort, in: e.from, out: e.from + 0.7*length,
		work:   func(float64) point { return mainPort.wound().plus(mainPort.inward().times(44)) },
		spread: func(t float64) float64 { return part(p.progress("lens-insertion", t), 0.1, 0.6) }})
	away := e.to + 0.7
	if turn, turns := p.first("lens-positioning"); turns {
		away = turn.to + 0.8
	}
	p.add(act{kind: hook, port: mainPort, in: e.from + 0.84*length, out: away,
		work: func(t float64) point { return p.hookWork(t) }})
}

func (p *plan) closingActs() {
	p.simple("ovd-removal", aspirator, mainPort, func(t float64, e span) point {
		k := part(t, e.from, e.to)
		return polar(degrees(40)-k*2.6*fullTurn, 14+26*swell(k))
	})
	if e, ok := p.first("suturing"); ok {
		p.add(act{kind: needle, port: mainPort, in: e.from, out: e.to, outside: true, work: func(t float64) point {
			k := part(t, e.from, e.to)
			return mainPort.wound().plus(mainPort.inward().times(12 * math.Cos(k*5*math.Pi))).
				plus(mainPort.inward().across().times(8 * math.Sin(k*4*math.Pi)))
		}})
	}
	if e, ok := p.first("wound-closure"); ok {
		length := e.to - e.from
		for _, visit := range []struct {
			kind     kind
			port     port
			from, to float64
		}{{cannula, mainPort, 0, 0.38}, {cannula, sidePort, 0.48, 0.68}, {sponge, mainPort, 0.78, 0.87}, {sponge, sidePort, 0.95, 1}} {
			from, to := e.from+visit.from*length, e.from+visit.to*length
			p.add(act{kind: visit.kind, port: visit.port, in: from, out: to, outside: true, work: func(t float64) point {
				along := visit.port.inward().across().times(mix(-13, 13, part(t, from, to)))
				return visit.port.wound().plus(along)
			}})
		}
	}
	p.simple("antibiotic", cannula, sidePort, func(t float64, e span) point {
		return point{-46, 26}.plus(point{10, -6}.times(swell(part(t, e.from, e.to))))
	})
}
