package film

import (
	"fmt"
	"image"
	"image/color"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// lettering burns the running clock and the caption into a picture.
type lettering struct {
	digits, words font.Face
}

func newLettering(height int) (*lettering, error) {
	digits, err := face(gomonobold.TTF, float64(height)/24)
	if err != nil {
		return nil, err
	}
	words, err := face(goregular.TTF, float64(height)/32)
	if err != nil {
		return nil, err
	}
	return &lettering{digits: digits, words: words}, nil
}

func face(ttf []byte, size float64) (font.Face, error) {
	parsed, err := opentype.Parse(ttf)
	if err != nil {
		return nil, err
	}
	return opentype.NewFace(parsed, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull})
}

// clockText writes media time as mm:ss.cc, cut to hundredths as a clock shows it.
func clockText(ms int64) string {
	return fmt.Sprintf("%02d:%02d.%02d", ms/60_000, ms/1000%60, ms%1000/10)
}

func (l *lettering) write(img *image.RGBA, face font.Face, text string, x, y int, shade uint8) {
	drawer := font.Drawer{Dst: img, Src: image.NewUniform(color.RGBA{shade, shade, shade, 255}), Face: face,
		Dot: fixed.P(x, y)}
	drawer.DrawString(text)
}

// burn writes on plain dark fields, which keep still and cost the encoder little.
func (l *lettering) burn(c *canvas, ms int64, part, parts int) {
	w, h := c.img.Rect.Dx(), c.img.Rect.Dy()
	line := h / 18
	c.field(image.Rect(0, 0, font.MeasureString(l.digits, "00:00.00").Ceil()+line, line+line/4))
	l.write(c.img, l.digits, clockText(ms), line/2, line-line/10, 245)
	caption := "Synthetic film, invented"
	if parts > 1 {
		caption = fmt.Sprintf("Synthetic film, invented · part %d of %d", part+1, parts)
	}
	width := font.MeasureString(l.words, caption).Ceil()
	c.field(image.Rect(w-width-line, 0, w, line+line/4))
	l.write(c.img, l.words, caption, w-width-line/2, line-line/8, 205)
}

func (c *canvas) field(r image.Rectangle) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			c.put(x, y, ink{12, 18, 20, 1})
		}
	}
}
