package film

// at gives everything that can be seen at an instant of the case clock, in seconds. It depends on
// nothing but the script, so each frame can be drawn by itself.
func (p *plan) at(t float64) view {
	v := view{
		pupil:    dilated,
		sidePort: part(p.progress("side-port", t), 0, 0.5),
		incision: part(p.progress("main-incision", t), 0, 0.5),
		spin:     p.turned(t),
		grooves:  p.groovesAt(t),
		gaps:     p.gapsAt(t),
		divided:  p.progress("division", t) > 0,
		wave:     part(p.progress("hydrodissection", t), 0.18, 0.5),
		stitch:   part(p.progress("suturing", t), 0.25, 1),
		tools:    p.tools(t),
	}
	for i := range v.pieces {
		v.pieces[i] = p.pieceAt(i, t)
	}
	for i := range v.cortex {
		v.cortex[i] = p.wedgeAt(i, t)
	}
	p.fluids(&v, t)
	p.capsuleState(&v, t)
	p.mishaps(&v, t)
	v.implant = p.implantAt(t)
	return v
}

// fluids are OVD, dye, hydration and antibiotic.
func (p *plan) fluids(v *view, t float64) {
	v.gel = p.progress("ovd", t)
	for _, e := range p.events["ovd-top-up"] {
		v.gel = max(v.gel*mix(1, 0.45, part(t, e.from-12, e.from)), part(t, e.from+0.4, e.to))
	}
	if e, ok := p.first("sculpting"); ok {
		v.gel *= 1 - smooth(part(t, e.from-1.4, e.from+4))
	}
	v.bagGel = p.progress("bag-filling", t) * (1 - smooth(p.progress("ovd-removal", t)))
	dye := p.progress("dye", t)
	v.dye = smooth(part(dye, 0.06, 0.4)) * (1 - smooth(part(dye, 0.6, 0.97)))
	v.stain = smooth(part(dye, 0.15, 0.6))
	closing := p.progress("wound-closure", t)
	v.wet = [2]float64{part(closing, 0, 0.36), part(closing, 0.48, 0.66)}
	if k := p.progress("antibiotic", t); k > 0 && k < 1 {
		v.stream = swell(part(k, 0.1, 0.95))
	}
}

func (p *plan) capsuleState(v *view, t float64) {
	v.torn = p.tornAt(t)
	e, ok := p.first("capsulorhexis")
	if ok && t > e.from && t < e.to {
		v.flap = part(v.torn, 0, 0.04)
	}
	v.flapTip = p.restingFlap()
	for _, held := range v.tools {
		if held.kind == forceps {
			v.flapTip = held.tip
		}
	}
	if e, pauses := p.pauseAt(t); pauses {
		v.flapTip = p.tearTip(t).toward(point{}, 0.2*swell(part(t, e.from, e.to)))
	}
	if len(p.episodes["polishing"]) > 0 {
		v.specks = 1 - p.progress("polishing", t)
	} else {
		v.specks = 0.3
	}
}

func (p *plan) restingFlap() point { return polar(startOfTear, opening-17) }

// pauseAt tells whether the instrument is out because of a top-up.
func (p *plan) pauseAt(t float64) (span, bool) {
	for _, e := range p.events["ovd-top-up"] {
		if t > e.from-topUpLeave && t < e.to+topUpReturn {
			return span{e.from - topUpLeave, e.to + topUpReturn}, true
		}
	}
	return span{}, false
}

func (p *plan) mishaps(v *view, t float64) {
	if k := p.event("chamber-collapse", t); k >= 0 {
		v.shallow = smooth(part(k, 0, 0.12)) * (1 - smooth(part(k, 0.6, 1)))
	}
	if k := p.event("occlusion-surge", t); k >= 0 {
		v.shallow = 0.6 * swell(k)
	}
	v.pupil -= 13 * v.shallow
	if k := p.event("view-lost", t); k >= 0 {
		v.haze = smooth(part(k, 0, 0.15)) * (1 - smooth(part(k, 0.8, 1)))
	}
	if k := p.event("fragment-contact", t); k >= 0 {
		v.contact = 1 - part(k, 0, 0.6)
	}
	v.iris = p.event("iris-contact", t)
	for _, e := range p.events["fragment-contact"] {
		v.bruise = v.bruise || t >= e.from
	}
	for _, e := range p.events["posterior-capsule-rupture"] {
		v.hole = 0.6*smooth(part(t, e.from, e.from+0.2)) + 0.4*smooth(part(t, e.from+0.2, e.from+2.5))
		v.strands = smooth(part(t, e.from+0.5, e.from+3)) * (1 - smooth(part(p.progress("vitrectomy", t), 0.1, 0.95)))
	}
}

// implantAt follows the lens from the cartridge to its place.
func (p *plan) implantAt(t float64) implant {
	k := p.progress("lens-insertion", t)
	if k < 0.2 {
		return implant{}
	}
	turn := smooth(p.progress("lens-positioning", t))
	from := mainPort.wound().plus(mainPort.inward().times(66))
	trailing := smooth(part(k, 0.86, 1))
	rest := point{9, 8}.times(1 - 0.55*trailing)
	l := implant{
		shown:  true,
		open:   0.28*smooth(part(k, 0.2, 0.5)) + 0.62*smooth(part(k, 0.46, 0.8)) + 0.1*trailing,
		at:     from.toward(rest, smooth(part(k, 0.22, 0.56))).toward(point{}, turn),
		angle:  axisAngle + degrees(48)*turn,
		behind: k > 0.5,
	}
	return l
}
