package film

import (
	"image"
	"math"

	"golang.org/x/image/vector"
)

// ink is a colour with its opacity: r, g, b from 0 to 255, a from 0 to 1.
type ink struct{ r, g, b, a float64 }

func (i ink) faded(k float64) ink { i.a *= k; return i }

func blend(a, b ink, k float64) ink {
	return ink{mix(a.r, b.r, k), mix(a.g, b.g, k), mix(a.b, b.b, k), mix(a.a, b.a, k)}
}

// canvas draws smooth figures on a picture. Its units are those of point.
type canvas struct {
	img    *image.RGBA
	scale  float64
	origin point // of the figures, in pixels
	lines  *vector.Rasterizer
	mask   []uint8
}

func newCanvas(width, height int) *canvas {
	return &canvas{
		img:    image.NewRGBA(image.Rect(0, 0, width, height)),
		scale:  float64(height) / 360,
		origin: point{float64(width) / 2, float64(height) * 0.505},
		lines:  vector.NewRasterizer(1, 1),
		mask:   make([]uint8, width*height),
	}
}

func (c *canvas) pixel(p point) point { return p.times(c.scale).plus(c.origin) }

// place is the point under the middle of a pixel.
func (c *canvas) place(x, y int) point {
	return point{float64(x) + 0.5, float64(y) + 0.5}.minus(c.origin).times(1 / c.scale)
}

func (c *canvas) put(x, y int, with ink) {
	if with.a <= 0 {
		return
	}
	i := c.img.PixOffset(x, y)
	pix := c.img.Pix[i : i+4 : i+4]
	pix[0] = uint8(mix(float64(pix[0]), with.r, with.a) + 0.5)
	pix[1] = uint8(mix(float64(pix[1]), with.g, with.a) + 0.5)
	pix[2] = uint8(mix(float64(pix[2]), with.b, with.a) + 0.5)
	pix[3] = 255
}

// fill paints figures in one ink; where they overlap the ink counts once.
func (c *canvas) fill(with ink, figures ...[]point) {
	if with.a > 0 {
		c.shade(func(point) ink { return with }, figures...)
	}
}

// shade paints figures with an ink that depends on the place.
func (c *canvas) shade(with func(point) ink, figures ...[]point) {
	box := c.bounds(figures)
	if box.Empty() {
		return
	}
	c.lines.Reset(box.Dx(), box.Dy())
	shift := point{float64(box.Min.X), float64(box.Min.Y)}
	for _, figure := range figures {
		c.trace(figure, shift)
	}
	// The rasteriser wants rows without gaps, so the mask is laid out anew for each box.
	mask := &image.Alpha{Pix: c.mask[:box.Dx()*box.Dy()], Stride: box.Dx(), Rect: image.Rect(0, 0, box.Dx(), box.Dy())}
	clear(mask.Pix)
	c.lines.Draw(mask, mask.Rect, image.Opaque, image.Point{})
	for y := range box.Dy() {
		for x, cover := range mask.Pix[y*mask.Stride : y*mask.Stride+box.Dx()] {
			if cover > 0 {
				px, py := box.Min.X+x, box.Min.Y+y
				c.put(px, py, with(c.place(px, py)).faded(float64(cover)/255))
			}
		}
	}
}

// trace adds one closed figure, always turning the same way, so that overlapping figures join and
// do not cut holes into each other.
func (c *canvas) trace(figure []point, shift point) {
	area := 0.0
	for i, p := range figure {
		q := figure[(i+1)%len(figure)]
		area += p.x*q.y - q.x*p.y
	}
	for i := range figure {
		p := figure[i]
		if area < 0 {
			p = figure[len(figure)-1-i]
		}
		at := c.pixel(p).minus(shift)
		if i == 0 {
			c.lines.MoveTo(float32(at.x), float32(at.y))
		} else {
			c.lines.LineTo(float32(at.x), float32(at.y))
		}
	}
	c.lines.ClosePath()
}

func (c *canvas) bounds(figures [][]point) image.Rectangle {
	least, most := point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	for _, figure := range figures {
		for _, p := range figure {
			p = c.pixel(p)
			least = point{min(least.x, p.x), min(least.y, p.y)}
			most = point{max(most.x, p.x), max(most.y, p.y)}
		}
	}
	if least.x > most.x {
		return image.Rectangle{}
	}
	limit := func(v float64) int { return int(max(-10_000, min(10_000, v))) }
	box := image.Rect(limit(math.Floor(least.x))-1, limit(math.Floor(least.y))-1,
		limit(math.Ceil(most.x))+1, limit(math.Ceil(most.y))+1)
	return box.Intersect(c.img.Rect)
}

// stroke draws a line with round ends and joints.
func (c *canvas) stroke(with ink, width float64, line ...point) {
	c.fill(with, outlines(width, line)...)
}

func outlines(width float64, line []point) [][]point {
	var figures [][]point
	for i, p := range line {
		if width > 1.2 {
			figures = append(figures, arc(p, width/2, 0, 2*math.Pi))
		}
		if i == 0 {
			continue
		}
		side := p.minus(line[i-1]).unit().across().times(width / 2)
		figures = append(figures, []point{line[i-1].plus(side), p.plus(side), p.minus(side), line[i-1].minus(side)})
	}
	return figures
}

func (c *canvas) disc(with ink, centre point, r float64) {
	c.fill(with, arc(centre, r, 0, 2*math.Pi))
}

// glow draws a disc that fades towards its edge.
func (c *canvas) glow(with ink, centre point, r float64) {
	if with.a <= 0 {
		return
	}
	c.shade(func(p point) ink {
		return with.faded(smooth(max(0, 1-p.minus(centre).length()/r)))
	}, arc(centre, r, 0, 2*math.Pi))
}
