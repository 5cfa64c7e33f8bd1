package film

import "math"

// point is a place in the picture. The centre of the pupil is the origin, x grows to the right and
// y downwards; at a height of 360 pixels one unit is one pixel.
type point struct{ x, y float64 }

func (p point) plus(q point) point              { return point{p.x + q.x, p.y + q.y} }
func (p point) minus(q point) point             { return point{p.x - q.x, p.y - q.y} }
func (p point) times(k float64) point           { return point{p.x * k, p.y * k} }
func (p point) length() float64                 { return math.Hypot(p.x, p.y) }
func (p point) across() point                   { return point{-p.y, p.x} }
func (p point) toward(q point, k float64) point { return p.plus(q.minus(p).times(k)) }

func (p point) unit() point {
	if n := p.length(); n > 0 {
		return p.times(1 / n)
	}
	return point{1, 0}
}

func (p point) turned(angle float64) point {
	s, c := math.Sincos(angle)
	return point{p.x*c - p.y*s, p.x*s + p.y*c}
}

// polar is the point at an angle, in radians clockwise from the right as seen, and a distance.
func polar(angle, r float64) point { return point{r * math.Cos(angle), r * math.Sin(angle)} }

func degrees(d float64) float64 { return d * math.Pi / 180 }

// part is how far t has come from a to b, held between 0 and 1.
func part(t, a, b float64) float64 {
	if b <= a {
		if t >= b {
			return 1
		}
		return 0
	}
	return max(0, min(1, (t-a)/(b-a)))
}

// smooth eases a movement in and out.
func smooth(k float64) float64 { return k * k * (3 - 2*k) }

// swell rises from 0 to 1 and falls back, over k from 0 to 1.
func swell(k float64) float64 { return math.Sin(math.Pi * max(0, min(1, k))) }

func mix(a, b, k float64) float64 { return a + (b-a)*k }

// arc is a line along a circle from one angle to another.
func arc(centre point, r, from, to float64) []point {
	n := max(3, int(math.Abs(to-from)*r/4))
	line := make([]point, n+1)
	for i := range line {
		line[i] = centre.plus(polar(mix(from, to, float64(i)/float64(n)), r))
	}
	return line
}

// moved shifts a figure after turning and scaling it about its own origin.
func moved(figure []point, scale, angle float64, to point) []point {
	out := make([]point, len(figure))
	for i, p := range figure {
		out[i] = p.times(scale).turned(angle).plus(to)
	}
	return out
}
