package film

import "math"

// fundus draws the red reflex and the lens in front of it, all behind the iris.
func (c *canvas) fundus(v view, white bool) {
	bright := 1 - lensLeft(v)
	c.shade(func(p point) ink {
		r := p.minus(point{-10, -8}).length()
		clear := blend(ink{240, 128, 62, 1}, ink{158, 52, 24, 1}, smooth(part(r, 0, 105)))
		dull := blend(ink{176, 104, 52, 1}, ink{104, 50, 26, 1}, smooth(part(r, 0, 105)))
		if white {
			dull = blend(ink{186, 170, 150, 1}, ink{128, 104, 88, 1}, smooth(part(r, 0, 105)))
		}
		return blend(dull, clear, bright)
	}, arc(point{}, v.pupil+3, 0, fullTurn))
	c.posterior(v)
	c.cortexWedges(v, white)
	if v.wave > 0 && v.wave < 1 {
		front := mix(110, -110, v.wave)
		along := mainPort.inward()
		c.stroke(ink{255, 214, 160, 0.55}, 5, arc(along.times(-front-150), 150, angleOf(along)-0.62, angleOf(along)+0.62)...)
		c.stroke(ink{90, 36, 16, 0.5}, 3, arc(along.times(-front-144), 150, angleOf(along)-0.6, angleOf(along)+0.6)...)
	}
	c.nucleus(v, white)
	if v.implant.shown && v.implant.behind {
		c.lensImplant(v.implant)
	}
	c.capsule(v)
}

// lensLeft is how much of the lens still darkens the reflex.
func lensLeft(v view) float64 {
	left := 0.0
	for _, f := range v.pieces {
		left += 0.2 * f.size
	}
	for _, w := range v.cortex {
		left += 0.2 / wedges * w.size
	}
	return left
}

func angleOf(p point) float64 { return math.Atan2(p.y, p.x) }

// nucleusInk shades the nucleus by the distance from its middle.
func nucleusInk(r float64, white bool) ink {
	core := blend(ink{202, 138, 62, 0.93}, ink{184, 112, 50, 0.9}, smooth(part(r, 0, 52)))
	if white {
		core = blend(ink{214, 196, 162, 0.95}, ink{226, 216, 198, 0.92}, smooth(part(r, 0, 52)))
	}
	// Fine shells of the adult nucleus.
	light := 1 + 0.035*math.Sin(r/3.4)
	core.r, core.g, core.b = min(255, core.r*light), core.g*light, core.b*light
	core.a *= 1 - 0.55*smooth(part(r, 60, nucleus))
	return core
}

func (c *canvas) nucleus(v view, white bool) {
	if !v.divided {
		if v.pieces[0].size > 0 {
			c.shade(func(p point) ink { return nucleusInk(p.length(), white) }, arc(point{}, nucleus, 0, fullTurn))
			c.grooves(v)
		}
		return
	}
	for i, piece := range v.pieces {
		if piece.size > 0 && piece.lift == 0 {
			c.piece(v, i, piece, white)
		}
	}
}

// grooves are trenches through which the reflex shines the more the deeper they are.
func (c *canvas) grooves(v view) {
	for i, g := range v.grooves {
		if g.length <= 0 {
			continue
		}
		along := polar(v.spin+float64(i)*math.Pi/2, 1)
		from, to := along.times(-g.length*0.72), along.times(g.length)
		c.stroke(ink{92, 50, 22, 0.55}, 19, from, to)
		c.stroke(ink{168, 92, 40, 0.9}, 15, from, to)
		c.stroke(ink{244, 128, 60, 0.85 * g.depth}, 10, from.times(0.96), to.times(0.96))
	}
}

// quadrant is a quarter of the nucleus with its point at the origin.
func quadrant() []point {
	const half = math.Pi / 4
	figure := []point{{2, 0}}
	return append(figure, arc(point{}, nucleus, -half+0.03, half-0.03)...)
}

func (c *canvas) piece(v view, i int, f fragment, white bool) {
	middle := v.spin + math.Pi/4 + float64(i)*math.Pi/2
	// Sideways shifts open the gap along each groove.
	across, along := polar(v.spin+math.Pi/2, 1), polar(v.spin, 1)
	side := [4][2]float64{{1, 1}, {1, -1}, {-1, -1}, {-1, 1}}[i]
	home := across.times(side[0] * v.gaps[0]).plus(along.times(side[1] * v.gaps[1]))
	to := home.toward(f.at, f.drawn)
	size := f.size * (1 + 0.3*f.lift)
	figure := moved(quadrant(), size, middle+f.turn, to)
	if f.lift > 0 {
		c.fill(ink{30, 10, 6, 0.35 * f.lift}, moved(figure, 1, 0, point{9, 12}))
	}
	c.shade(func(p point) ink {
		local := p.minus(to).length() / max(size, 0.05)
		return blend(nucleusInk(local, white), ink{250, 226, 180, 0.96}, 0.4*f.lift)
	}, figure)
	edge := ink{255, 206, 140, 0.5}
	c.stroke(edge, 1.6, figure[len(figure)-1], figure[0], figure[1])
	c.stroke(ink{96, 50, 22, 0.45}, 1.2, figure[1:]...)
}

// cortexWedges are the soft outer lens, ten strips from the rim inwards.
func (c *canvas) cortexWedges(v view, white bool) {
	soft := ink{214, 176, 138, 0.5}
	if white {
		soft = ink{226, 216, 204, 0.66}
	}
	for i, w := range v.cortex {
		if w.size <= 0 {
			continue
		}
		angle := float64(i) * fullTurn / wedges
		step := fullTurn / wedges * 0.485
		inner := mix(56, 8, w.drawn)
		outer := mix(97, 8+60*w.size, smooth(part(w.drawn, 0.25, 1)))
		narrow := mix(1, 0.35, w.drawn)
		var figure []point
		for k := range 13 {
			a := angle - step*narrow + 2*step*narrow*float64(k)/12
			wobble := 2.6 * math.Sin(float64(k)*1.1+float64(i)*3)
			figure = append(figure, polar(a, inner+wobble*(1-w.drawn)))
		}
		figure = append(figure, arc(point{}, outer, angle+step*narrow, angle-step*narrow)...)
		c.fill(soft.faded(0.55+0.45*w.size), figure)
		c.stroke(ink{250, 236, 214, 0.3}, 1.1, arc(point{}, (inner+outer)/2, angle-step*narrow*0.8, angle+step*narrow*0.8)...)
	}
}
