package film

import "math"

// tearAt is the place of the posterior capsule tear.
var tearAt = point{-26, 24}

// startOfTear is the angle at which the capsulorhexis leaves its first puncture.
const startOfTear = 0.35

// posterior draws what lies on and behind the posterior capsule.
func (c *canvas) posterior(v view) {
	for i := range 26 {
		if float64(i)/26 >= v.specks {
			break
		}
		at := polar(float64(i)*2.399963, 9.5*math.Sqrt(float64(i)+1)) // golden angle: evenly strewn
		c.disc(ink{96, 44, 26, 0.5}, at, 1.3+0.9*float64(i%3))
	}
	if v.hole <= 0 {
		return
	}
	gap := moved([]point{{-34, 0}, {-18, -13}, {4, -17}, {24, -10}, {36, 2}, {18, 12}, {-6, 15}, {-24, 9}},
		0.15+0.85*v.hole, -0.6, tearAt)
	c.fill(ink{92, 20, 14, 0.85}, gap)
	c.glow(ink{40, 6, 8, 0.6}, tearAt, 22*v.hole)
	c.stroke(ink{255, 226, 190, 0.9}, 2, append(gap, gap[0])...)
	c.stroke(ink{255, 240, 220, 0.5}, 1, moved(append(gap, gap[0]), 1.1, 0, tearAt.times(-0.1))...)
}

// capsule draws the front of the bag with the opening as far as it is torn, and the flap.
func (c *canvas) capsule(v view) {
	veil, edge := ink{236, 226, 214, 0.10}, ink{255, 246, 232, 0.75}
	if v.stain > 0 {
		veil = blend(veil, ink{64, 104, 196, 0.42}, v.stain)
		edge = blend(edge, ink{58, 92, 214, 0.95}, v.stain)
	}
	start, end := startOfTear, startOfTear+fullTurn*v.torn
	rim := arc(point{}, dilated+4, 0, fullTurn)
	if v.torn <= 0 {
		c.fill(veil, rim)
		return
	}
	c.shade(func(p point) ink {
		turn := math.Mod(angleOf(p)-start+2*fullTurn, fullTurn)
		if p.length() < opening && (v.torn >= 1 || turn < end-start) {
			return ink{}
		}
		return veil
	}, rim)
	line := arc(point{}, opening, start, end)
	c.stroke(ink{74, 40, 26, 0.4}, 3, moved(line, 0.985, 0, point{})...)
	c.stroke(edge, 1.7, line...)
	if v.flap > 0 {
		c.flapOfCapsule(v, end, blend(ink{250, 240, 226, 0.5}, ink{84, 124, 220, 0.62}, v.stain), edge)
	}
}

// flapOfCapsule is the torn part, folded over and held at its tip by the forceps.
func (c *canvas) flapOfCapsule(v view, front float64, body, edge ink) {
	width := min(1.5, 0.3+v.torn*1.6) * v.flap
	root := arc(point{}, opening-1, front, front-width)
	tip := v.flapTip
	last := root[len(root)-1].times(0.62)
	figure := append(root, last.toward(tip, 0.5).plus(point{4, -3}), tip.plus(point{3, 5}), tip)
	if v.torn >= 1 {
		// Free now: a small scroll carried by the forceps.
		figure = moved([]point{{0, 0}, {-9, 13}, {-3, 26}, {9, 29}, {17, 18}, {11, 5}}, v.flap, 0, tip)
	}
	c.fill(ink{40, 18, 10, 0.18}, moved(figure, 1, 0, point{4, 5}))
	c.fill(body, figure)
	c.stroke(edge.faded(0.8), 1.2, append(figure[len(figure)-2:], figure[0])...)
}

// lensImplant draws the folded or open lens: optic, edge reflex, two C-shaped haptics.
func (c *canvas) lensImplant(l implant) {
	flat := 0.24 + 0.76*l.open
	shape := func(p point) point {
		return point{p.x, p.y * flat}.turned(l.angle).plus(l.at)
	}
	outline := func(r, from, to float64) []point {
		line := arc(point{}, r, from, to)
		for i := range line {
			line[i] = shape(line[i])
		}
		return line
	}
	if l.open > 0.45 {
		reach := part(l.open, 0.45, 1)
		for _, side := range []float64{0, math.Pi} {
			var haptic []point
			for k := range 22 {
				a := float64(k) / 21
				haptic = append(haptic, shape(polar(side-0.35+a*1.75, optic-2+34*reach*math.Sin(a*2.1)/0.93)))
			}
			c.stroke(ink{38, 60, 92, 0.8}, 4, haptic...)
			c.stroke(ink{112, 152, 206, 0.95}, 2.4, haptic...)
		}
	}
	body := outline(optic, 0, fullTurn)
	c.fill(ink{214, 232, 250, 0.17 + 0.3*(1-l.open)}, body)
	c.stroke(ink{34, 44, 58, 0.45}, 2.6, body...)
	c.stroke(ink{240, 250, 255, 0.85}, 1.5, body...)
	c.stroke(ink{255, 255, 255, 0.4}, 1, outline(optic-5, 0, fullTurn)...)
	c.stroke(ink{255, 255, 255, 0.55}, 3, outline(optic*0.8, math.Pi*1.08, math.Pi*1.42)...)
	if l.open < 0.95 {
		fold := (1 - l.open)
		c.stroke(ink{255, 255, 255, 0.7 * fold}, 2, shape(point{-optic * 0.9, -optic * 0.3}), shape(point{optic * 0.9, -optic * 0.3}))
		c.stroke(ink{60, 80, 110, 0.6 * fold}, 2.4, shape(point{-optic * 0.9, optic * 0.25}), shape(point{optic * 0.9, optic * 0.25}))
	}
}
