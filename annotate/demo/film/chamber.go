package film

import "math"

// chamber draws what lies between iris and cornea: wounds, fluids, instruments, signs of trouble.
func (c *canvas) chamber(v view, iris [3]ink, clock float64) {
	if v.iris >= 0 {
		c.caughtIris(v, iris)
	}
	c.dyeCloud(v)
	if v.bagGel > 0 {
		c.gel(v.bagGel, 52, point{-8, -6}, 0.8)
	}
	if v.gel > 0 {
		c.gel(v.gel, 104, point{6, 2}, 1)
	}
	if v.strands > 0 {
		c.vitreous(v, clock)
	}
	c.wound(sidePort, 7, v.sidePort, v.wet[1], 0)
	c.wound(mainPort, 24, v.incision, v.wet[0], v.stitch)
	if v.implant.shown && !v.implant.behind {
		c.lensImplant(v.implant)
	}
	for i, piece := range v.pieces {
		if piece.lift > 0 {
			c.piece(v, i, piece, false)
		}
	}
	for _, t := range v.tools {
		if t.kind == cannula && v.stream > 0 {
			c.jet(t, v.stream, clock)
		}
		c.tool(t)
	}
	c.troubles(v)
}

// wound is a cut in the clear cornea near its edge, white when its lips are swollen with fluid.
func (c *canvas) wound(at port, half, made, wet, stitch float64) {
	if made <= 0 {
		return
	}
	middle, along, inward := at.wound(), at.inward().across(), at.inward()
	reach := half * made
	if wet > 0 {
		c.glow(ink{236, 240, 240, 0.75 * wet}, middle.plus(along.times(half*0.6)), half*0.9+9)
		c.glow(ink{236, 240, 240, 0.75 * part(wet, 0.4, 1)}, middle.minus(along.times(half*0.6)), half*0.9+9)
	}
	lip := []point{middle.minus(along.times(reach)), middle.plus(inward.times(2 * made)), middle.plus(along.times(reach))}
	c.stroke(ink{66, 60, 62, 0.6}, 2.6, lip...)
	c.stroke(ink{232, 232, 228, 0.6}, 1.1, moved(lip, 1, 0, inward.times(2.4))...)
	if stitch > 0 {
		from, to := middle.minus(inward.times(11)), middle.plus(inward.times(15))
		c.stroke(ink{18, 18, 24, 0.95}, 1.6, from, from.toward(to, part(stitch, 0, 0.5)))
		if stitch > 0.7 {
			c.disc(ink{18, 18, 24, 0.95}, middle.minus(inward.times(9)), 2.6)
			c.stroke(ink{18, 18, 24, 0.8}, 1.1, middle.minus(inward.times(9)), middle.minus(inward.times(17)).plus(along.times(4)))
		}
	}
}

// gel is clear OVD: seen by the reflex on its border and by small bubbles.
func (c *canvas) gel(amount, radius float64, centre point, strength float64) {
	r := radius * math.Sqrt(amount)
	var border []point
	for k := range 48 {
		a := float64(k) / 48 * fullTurn
		border = append(border, centre.plus(polar(a, r*(1+0.05*math.Sin(3*a+1)+0.03*math.Sin(7*a+amount*5)))))
	}
	c.fill(ink{214, 232, 240, 0.09 * strength}, border)
	c.stroke(ink{250, 253, 255, 0.4 * strength}, 1.8, append(border, border[0])...)
	c.stroke(ink{255, 255, 255, 0.6 * strength}, 3, moved(border[26:34], 0.93, 0, centre.times(0.07))...)
	for i := range 7 {
		at := centre.plus(polar(float64(i)*2.4, r*(0.25+0.09*float64(i))))
		size := 1.6 + 0.7*float64(i%4)
		c.stroke(ink{255, 255, 255, 0.5 * strength}, 0.9, arc(at, size, 0, fullTurn)...)
		c.disc(ink{255, 255, 255, 0.7 * strength}, at.plus(point{-size * 0.3, -size * 0.3}), 0.8)
	}
}

func (c *canvas) dyeCloud(v view) {
	if v.dye <= 0 {
		return
	}
	blue := ink{30, 62, 170, 0.62 * v.dye}
	c.glow(blue, point{10, 0}, 40+96*v.dye)
	c.glow(blue, point{-26, 22}, 30+70*v.dye)
	c.glow(blue, point{38, -30}, 30+66*v.dye)
}

// jet is the fine stream from a cannula.
func (c *canvas) jet(t tool, strength, clock float64) {
	axis := t.axis()
	for i := range 3 {
		var line []point
		for k := range 12 {
			far := float64(k) * 6 * strength
			wave := 0.10 * far * math.Sin(far/9-clock*9+float64(i)*2)
			line = append(line, t.tip.plus(axis.times(far)).plus(axis.across().times(wave+float64(i-1)*far*0.14)))
		}
		c.stroke(ink{240, 248, 252, 0.42 * strength}, 1.6, line...)
	}
}

// vitreous are clear strands from the tear to the wound.
func (c *canvas) vitreous(v view, clock float64) {
	for i := range 6 {
		end := mainPort.wound().times(0.86).toward(mainPort.inward().across().times(26*float64(i-3)), 0.4)
		end = tearAt.toward(end, v.strands)
		bend := tearAt.toward(end, 0.5).plus(mainPort.inward().across().times(9 * math.Sin(float64(i)*1.7+clock*1.4) * v.strands))
		start := tearAt.plus(polar(float64(i), 8))
		line := []point{}
		for k := range 11 {
			q := float64(k) / 10
			line = append(line, start.toward(bend, q).toward(bend.toward(end, q), q))
		}
		c.stroke(ink{244, 246, 250, 0.42}, 1.7, line...)
		c.stroke(ink{255, 255, 255, 0.5}, 0.8, line...)
	}
}

// caughtIris is a fold of iris drawn into the pupil.
func (c *canvas) caughtIris(v view, iris [3]ink) {
	depth := 17 * swell(v.iris)
	var fold []point
	for k := range 25 {
		a := mix(-0.42, 0.42, float64(k)/24)
		fold = append(fold, polar(irisGrip+a, dilated+1-depth*math.Exp(-a*a*34)))
	}
	fold = append(fold, arc(point{}, dilated+5, irisGrip+0.42, irisGrip-0.42)...)
	c.fill(blend(iris[0], iris[2], 0.35), fold)
	c.stroke(ink{24, 14, 8, 0.6}, 1.6, fold[:25]...)
}

// troubles are folds of a collapsed cornea, contact with it and the mark that is left.
func (c *canvas) troubles(v view) {
	if v.bruise {
		c.glow(ink{206, 204, 198, 0.5}, contactAt, 19)
	}
	if v.contact > 0 {
		c.glow(ink{255, 252, 236, 0.85 * v.contact}, contactAt, mix(46, 22, v.contact))
		c.stroke(ink{255, 255, 255, 0.85 * v.contact}, 2.2, arc(contactAt, mix(40, 14, v.contact), 0, fullTurn)...)
	}
	if v.shallow > 0 {
		c.glow(ink{20, 12, 14, 0.4 * v.shallow}, point{}, limbus)
		for i := range 7 {
			c.foldOfCornea(float64(i)-3, v.shallow)
		}
	}
}

// foldOfCornea is one of the folds that run from the wound across a cornea without pressure.
func (c *canvas) foldOfCornea(lane, strength float64) {
	inward := mainPort.inward()
	side := inward.across().times(lane * 21)
	from := side.minus(inward.times(96 - 7*lane*lane))
	to := side.times(0.6).plus(inward.times(86 - 9*lane*lane + 8*math.Sin(lane*2)))
	bend := from.toward(to, 0.5).plus(inward.across().times(lane*9 + 7*math.Sin(lane*3+1)))
	var line []point
	for k := range 13 {
		q := float64(k) / 12
		line = append(line, from.toward(bend, q).toward(bend.toward(to, q), q))
	}
	below := moved(line, 1, 0, point{2.5, 3})
	c.stroke(ink{14, 10, 12, 0.13 * strength}, 8, below...)
	c.stroke(ink{14, 10, 12, 0.2 * strength}, 4, below...)
	c.stroke(ink{240, 240, 238, 0.14 * strength}, 6, line...)
	c.stroke(ink{248, 248, 246, 0.3 * strength}, 2, line[2:11]...)
}

// reflexes are the images of the microscope's lamps on the cornea, over everything inside the eye.
func (c *canvas) reflexes(v view) {
	bend := 1 + 0.8*v.shallow
	for _, lamp := range []struct {
		at point
		r  float64
	}{{point{-34, -30}, 8}, {point{-12, -44}, 5.5}} {
		at := lamp.at.times(bend)
		c.glow(ink{255, 250, 238, 0.55}, at, lamp.r*2.1*bend)
		c.disc(ink{255, 254, 248, 0.95}, at, lamp.r*0.62)
	}
	c.stroke(ink{255, 255, 255, 0.16}, 5, arc(point{}, limbus-17, degrees(196), degrees(248))...)
	if v.haze > 0 {
		c.shade(func(p point) ink {
			return ink{206, 204, 200, 0.93 * v.haze * (1 - smooth(part(p.length(), limbus-30, limbus+34)))}
		}, arc(point{}, limbus+34, 0, fullTurn))
	}
}
