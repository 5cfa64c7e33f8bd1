package film

import (
	"image"
	"math"
	"math/rand/v2"
)

// Sizes of the eye in the picture. A cornea of 12 mm across makes one millimetre 24 units.
const (
	limbus   = 146.0
	dilated  = 93.0 // radius of the wide pupil
	nucleus  = 79.0
	opening  = 61.0 // radius of the capsulorhexis
	optic    = 70.0 // radius of the lens implant
	fullTurn = 2 * math.Pi
)

// irisInks are the colour near the pupil, the colour of the fibres, and the outer rim.
var irisInks = map[Iris][3]ink{
	Blue:  {{128, 136, 134, 1}, {92, 116, 130, 1}, {48, 66, 80, 1}},
	Brown: {{122, 82, 50, 1}, {92, 60, 38, 1}, {48, 31, 22, 1}},
	Hazel: {{134, 106, 62, 1}, {98, 98, 66, 1}, {54, 58, 44, 1}},
	Grey:  {{126, 124, 118, 1}, {100, 108, 110, 1}, {56, 62, 66, 1}},
}

// eye is what stays the same through a film: white of the eye, vessels, lids, iris.
type eye struct {
	iris   [3]ink
	fibres [720]float64
	still  *image.RGBA
	layers map[int]*image.RGBA // iris for a pupil size, in quarter units
}

func newEye(s Script) *eye {
	random := rand.New(rand.NewPCG(s.Seed, 1))
	e := &eye{iris: irisInks[s.Iris], layers: map[int]*image.RGBA{}}
	for wave := range 26 {
		frequency, phase := float64(16+wave*4+random.IntN(4)), random.Float64()*fullTurn
		for i := range e.fibres {
			e.fibres[i] += math.Sin(frequency*float64(i)/720*fullTurn+phase) / math.Sqrt(26)
		}
	}
	c := newCanvas(s.Width, s.Height)
	e.paintWhite(c)
	e.paintVessels(c, random)
	e.paintLids(c)
	e.still = c.img
	return e
}

func (e *eye) paintWhite(c *canvas) {
	for y := range c.img.Rect.Dy() {
		for x := range c.img.Rect.Dx() {
			p := c.place(x, y)
			r := p.length()
			white := blend(ink{231, 221, 212, 1}, ink{150, 128, 118, 1}, part(r, 130, 300))
			// The cornea goes over into the white within about a millimetre.
			rim := blend(e.iris[2], ink{120, 116, 112, 1}, 0.55)
			c.put(x, y, blend(rim, white, smooth(part(r, limbus-3, limbus+13))))
		}
	}
}

func (e *eye) paintVessels(c *canvas, random *rand.Rand) {
	for range 46 {
		angle := random.Float64() * fullTurn
		at, heading := polar(angle, 175+random.Float64()*90), angle+math.Pi
		line := []point{at}
		for range 9 + random.IntN(8) {
			heading += (random.Float64() - 0.5) * 0.7
			at = at.plus(polar(heading, 8))
			if at.length() < limbus+6 {
				break
			}
			line = append(line, at)
		}
		c.stroke(ink{176, 74, 66, 0.16 + 0.22*random.Float64()}, 0.7+random.Float64()*1.1, line...)
	}
}

// paintLids draws drape and speculum round the opening between the lids.
func (e *eye) paintLids(c *canvas) {
	inside := func(p point) float64 { return math.Hypot(p.x/266, p.y/196) }
	for y := range c.img.Rect.Dy() {
		for x := range c.img.Rect.Dx() {
			d := inside(c.place(x, y))
			c.put(x, y, ink{70, 44, 38, 0.75 * smooth(part(d, 0.9, 1))})
			c.put(x, y, ink{38, 92, 98, smooth(part(d, 0.985, 1.01))})
			c.put(x, y, ink{14, 40, 46, 0.6 * part(d, 1, 1.3)})
		}
	}
	for _, side := range []float64{-1, 1} {
		var wire []point
		for a := -62.0; a <= 62; a += 4 {
			s, k := math.Sincos(degrees(a))
			wire = append(wire, point{262 * s, side * 190 * k})
		}
		c.stroke(ink{58, 62, 66, 0.9}, 6, wire...)
		c.stroke(ink{150, 156, 160, 0.9}, 3.4, wire...)
		c.stroke(ink{226, 230, 232, 0.8}, 1.1, moved(wire, 0.997, 0, point{})...)
	}
}

// irisLayer is the iris with a pupil of some radius, transparent elsewhere.
func (e *eye) irisLayer(c *canvas, pupil float64) *image.RGBA {
	key := int(math.Round(pupil * 4))
	if layer, drawn := e.layers[key]; drawn {
		return layer
	}
	layer := image.NewRGBA(c.img.Rect)
	for y := range layer.Rect.Dy() {
		for x := range layer.Rect.Dx() {
			p := c.place(x, y)
			r := p.length()
			if r < pupil-2 || r > limbus+3 {
				continue
			}
			with := e.irisInk(p, r, pupil)
			i := layer.PixOffset(x, y)
			layer.Pix[i], layer.Pix[i+1], layer.Pix[i+2] = uint8(with.r), uint8(with.g), uint8(with.b)
			layer.Pix[i+3] = uint8(255 * with.a)
		}
	}
	e.layers[key] = layer
	return layer
}

func (e *eye) irisInk(p point, r, pupil float64) ink {
	u := part(r, pupil, limbus)
	turn := math.Atan2(p.y, p.x)/fullTurn + 1
	fibre := e.fibres[int(turn*720)%720]
	with := blend(e.iris[0], e.iris[1], smooth(part(u, 0, 0.45)))
	with = blend(with, e.iris[2], smooth(part(u, 0.72, 1)))
	light := 1 + 0.12*fibre*swell(0.1+u*0.85)
	// The frill round the pupil and a furrow give the ring its depth.
	light *= 1 - 0.5*(1-part(r, pupil-1, pupil+3)) + 0.10*swell(part(u, 0.04, 0.3)) - 0.12*swell(part(u, 0.5, 0.7))
	edge := smooth(part(r, pupil-1, pupil+0.6)) * (1 - smooth(part(r, limbus-6, limbus+3)))
	return ink{min(255, with.r*light), min(255, with.g*light), min(255, with.b*light), edge}
}

// lay puts a layer over the picture.
func (c *canvas) lay(layer *image.RGBA) {
	for i := 0; i < len(layer.Pix); i += 4 {
		switch a := uint32(layer.Pix[i+3]); a {
		case 0:
		case 255:
			copy(c.img.Pix[i:i+3], layer.Pix[i:i+3])
		default:
			for k := range 3 {
				over, under := uint32(layer.Pix[i+k]), uint32(c.img.Pix[i+k])
				c.img.Pix[i+k] = uint8((over*a + under*(255-a) + 127) / 255)
			}
		}
	}
}
