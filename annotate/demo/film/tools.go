package film

import "math"

// kind is a kind of instrument.
type kind int

const (
	stabBlade kind = iota
	cannula
	keratome
	forceps
	phacoTip
	chopper
	aspirator
	injector
	hook
	vitrector
	needle
	sponge
)

// port is a wound that an instrument goes through.
type port int

const (
	mainPort port = iota // lower right
	sidePort             // lower left
)

func (p port) wound() point {
	return polar([]float64{degrees(47), degrees(152)}[p], limbus-7)
}

// inward is the direction from the wound to the middle of the eye.
func (p port) inward() point { return p.wound().times(-1).unit() }

// axis is the direction in which the instrument points. It turns about the wound as the tip moves,
// and keeps its direction where tip and wound are close together.
func (t tool) axis() point {
	if outside := t.tip.minus(t.port.wound()); outside.x*t.port.inward().x+outside.y*t.port.inward().y < 0 {
		return t.port.inward()
	}
	return t.tip.minus(t.port.wound()).plus(t.port.inward().times(90)).unit()
}

var (
	steelDark  = ink{62, 68, 76, 1}
	steel      = ink{150, 158, 166, 1}
	steelLight = ink{232, 238, 242, 1}
)

// rod draws a round metal or plastic shaft from the tip backwards, between two distances from it.
func (c *canvas) rod(t tool, from, to, width float64, dark, body, light ink) {
	axis := t.axis()
	a, b := t.tip.minus(axis.times(from)), t.tip.minus(axis.times(to))
	side := axis.across().times(width * 0.2)
	c.stroke(dark, width, a, b)
	c.stroke(body, width*0.68, a.plus(side.times(0.3)), b.plus(side.times(0.3)))
	c.stroke(light, max(0.8, width*0.2), a.minus(side), b.minus(side))
}

// figure draws a shape given along the axis (x points to the tip) at the tip.
func (c *canvas) figure(t tool, with ink, shape ...point) {
	c.fill(with, moved(shape, 1, angleOf(t.axis()), t.tip))
}

func (c *canvas) line(t tool, with ink, width float64, shape ...point) {
	c.stroke(with, width, moved(shape, 1, angleOf(t.axis()), t.tip)...)
}

// shadow of a shaft on the iris below it.
func (c *canvas) shadow(t tool, width float64) {
	axis, below := t.axis(), point{5, 7}
	length := max(0, t.tip.minus(t.port.wound()).length()-4)
	if t.tip.length() > limbus {
		return
	}
	c.stroke(ink{10, 4, 2, 0.22}, width*1.15, t.tip.plus(below), t.tip.minus(axis.times(length)).plus(below.times(0.3)))
}

var widths = map[kind]float64{stabBlade: 9, cannula: 4, keratome: 24, forceps: 7, phacoTip: 15, chopper: 4.5,
	aspirator: 13, injector: 20, hook: 4.5, vitrector: 9, needle: 4, sponge: 16}

func (c *canvas) tool(t tool) {
	c.shadow(t, widths[t.kind])
	switch t.kind {
	case stabBlade:
		c.blade(t, 5, 26)
	case keratome:
		c.blade(t, 13, 34)
	case cannula:
		c.rod(t, 0, 190, 4, steelDark, steel, steelLight)
		c.rod(t, 190, 222, 15, ink{24, 74, 138, 1}, ink{52, 122, 200, 1}, ink{170, 208, 244, 1})
		c.rod(t, 222, 420, 26, ink{120, 130, 140, 1}, ink{206, 216, 222, 1}, ink{250, 252, 253, 1})
	case forceps:
		c.jaws(t)
	case phacoTip:
		c.rod(t, 0, 40, 7.5, steelDark, steel, steelLight)
		c.figure(t, ink{40, 46, 52, 1}, point{0.5, 3.4}, point{-7, 3.4}, point{0.5, -3})
		c.rod(t, 15, 186, 15, ink{26, 92, 116, 0.95}, ink{62, 148, 172, 0.95}, ink{188, 232, 240, 0.95})
		c.rod(t, 186, 420, 30, steelDark, steel, steelLight)
	case aspirator:
		c.rod(t, 2, 40, 7, steelDark, steel, steelLight)
		c.disc(steel, t.tip, 3.6)
		c.line(t, ink{20, 22, 26, 1}, 3.2, point{-3.5, 0}, point{-3.4, 0})
		c.rod(t, 20, 186, 13, ink{112, 72, 26, 0.95}, ink{206, 150, 76, 0.95}, ink{250, 226, 180, 0.95})
		c.rod(t, 186, 420, 26, steelDark, steel, steelLight)
	case chopper, hook:
		c.bentTip(t)
	case injector:
		c.cartridge(t)
	case vitrector:
		c.rod(t, 0, 186, 9, steelDark, steel, steelLight)
		c.line(t, ink{18, 20, 24, 1}, 4, point{-7, -2}, point{-11, -2})
		c.line(t, ink{210, 60, 50, 0.9}, 2, point{-9 - 3*t.spread, -2}, point{-8 - 3*t.spread, -2})
		c.rod(t, 186, 420, 30, ink{40, 44, 50, 1}, ink{92, 98, 108, 1}, ink{190, 196, 202, 1})
	case needle:
		c.needleAndThread(t)
	case sponge:
		c.figure(t, ink{150, 150, 146, 1}, point{0, -2}, point{0, 2}, point{-38, 15}, point{-38, -15})
		c.figure(t, ink{250, 249, 244, 1}, point{-1, -1}, point{-1, 1}, point{-37, 13}, point{-37, -13})
		c.rod(t, 38, 360, 7, ink{120, 150, 170, 1}, ink{190, 216, 230, 1}, ink{246, 250, 252, 1})
	}
}

// blade is a flat pointed knife on a handle.
func (c *canvas) blade(t tool, half, long float64) {
	c.figure(t, steelDark, point{1, 0}, point{-long, half + 1}, point{-long - 16, half * 0.7}, point{-long - 16, -half * 0.7}, point{-long, -half - 1})
	c.figure(t, ink{206, 214, 220, 1}, point{-1, 0}, point{-long, half - 0.4}, point{-long - 15, half*0.7 - 1}, point{-long - 15, 0})
	c.figure(t, ink{168, 176, 184, 1}, point{-1, 0}, point{-long, -half + 0.4}, point{-long - 15, -half*0.7 + 1}, point{-long - 15, 0})
	c.line(t, steelLight, 0.9, point{-3, 0}, point{-long - 8, 0})
	c.rod(t, long+14, long+80, 6, steelDark, steel, steelLight)
	c.rod(t, long+80, 400, 17, ink{150, 152, 60, 1}, ink{222, 214, 96, 1}, ink{252, 248, 190, 1})
}

// jaws is a capsulorhexis forceps, its two arms meeting at the tip.
func (c *canvas) jaws(t tool) {
	open := 2 + 5*t.spread
	for _, side := range []float64{-1, 1} {
		arm := []point{{0, side * open * 0.35}, {-4, side * open * 0.8}, {-30, side * 3.2}, {-130, side * 3.6}, {-200, side * 7}}
		c.line(t, steelDark, 4.2, arm...)
		c.line(t, ink{172, 180, 186, 1}, 2.4, arm...)
		c.line(t, steelLight, 0.9, arm...)
	}
	c.rod(t, 190, 420, 20, ink{40, 70, 100, 1}, ink{80, 118, 156, 1}, ink{176, 204, 228, 1})
}

// bentTip is a thin rod whose last millimetre is turned aside.
func (c *canvas) bentTip(t tool) {
	tip := []point{{0, -5}, {-1.5, -1}, {-8, 0}}
	c.line(t, steelDark, 4, tip...)
	c.line(t, steel, 2.4, tip...)
	c.rod(t, 7, 184, 4.6, steelDark, steel, steelLight)
	if t.kind == hook {
		c.disc(steelDark, moved([]point{{0, -5}}, 1, angleOf(t.axis()), t.tip)[0], 2.8)
	}
	c.rod(t, 184, 420, 15, ink{70, 74, 80, 1}, ink{164, 170, 178, 1}, steelLight)
}

// cartridge is the tube that the folded lens is pushed through.
func (c *canvas) cartridge(t tool) {
	tube := []point{{0, 5.5}, {-8, 7}, {-48, 9}, {-74, 16}, {-150, 17}, {-150, -17}, {-74, -16}, {-48, -9}, {-8, -7}, {-3, -5.5}}
	c.figure(t, ink{30, 78, 120, 0.55}, tube...)
	inner := []point{{-2, 4}, {-48, 7}, {-74, 13}, {-150, 14}, {-150, -14}, {-74, -13}, {-48, -7}, {-4, -4}}
	c.figure(t, ink{148, 200, 236, 0.72}, inner...)
	lens := mix(-80, -22, min(1, t.spread*1.6))
	if t.spread < 0.62 {
		c.line(t, ink{236, 246, 255, 0.9}, 9, point{lens - 30, 0}, point{lens, 0})
		c.line(t, ink{90, 130, 180, 0.7}, 1.2, point{lens - 32, -1.5}, point{lens + 2, -1.5})
	}
	c.line(t, ink{226, 232, 236, 1}, 6, point{-300, 0}, point{lens - 36, 0})
	c.line(t, ink{240, 248, 255, 0.7}, 1.4, point{-6, -5}, point{-48, -7}, point{-74, -13}, point{-150, -14})
	c.rod(t, 148, 400, 40, ink{90, 96, 104, 1}, ink{190, 196, 202, 1}, ink{240, 244, 246, 1})
}

// needleAndThread is a needle holder with a curved needle.
func (c *canvas) needleAndThread(t tool) {
	var curve []point
	for a := -20.0; a <= 150; a += 10 {
		curve = append(curve, polar(degrees(a), 15).plus(point{-4, -12}))
	}
	c.line(t, ink{40, 44, 50, 1}, 2.6, curve...)
	c.line(t, steelLight, 1, curve...)
	for _, side := range []float64{-1, 1} {
		arm := []point{{-8, side * 1.6}, {-46, side * 4}, {-150, side * 7}}
		c.line(t, steelDark, 6, arm...)
		c.line(t, steel, 3.6, arm...)
	}
	c.rod(t, 140, 400, 24, steelDark, ink{196, 160, 80, 1}, ink{246, 226, 170, 1})
}

// ringing is a small regular movement, for a tip that cuts or holds.
func ringing(t, rate, size float64) point {
	return point{size * math.Sin(t*rate), size * math.Cos(t*rate*1.37)}
}
