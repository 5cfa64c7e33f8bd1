package sheet

// shape is a piece of a drawing that SVG and PDF draw alike. Lengths are in mm from the top left corner.
type shape struct {
	kind       shapeKind
	x, y, w, h float64 // of a line: from (x, y) to (x+w, y+h)
	points     []place // of a curve or an area
	colour     Ink
	opacity    float64 // 0 is opaque
	thick      float64 // of a line or curve; 0 is hair-thin
	text       string
	size       float64 // pt
	anchor     anchor
	bold       bool
	link       string
	dashed     bool
}

// place is one place of a drawing.
type place struct{ x, y float64 }

type shapeKind uint8

const (
	shapeRect shapeKind = iota
	shapeLine
	shapeText
	shapeDiamond // centred on (x, y), w across
	shapeDot     // centred on (x, y), w across
	shapeCurve   // through its points
	shapeArea    // within its points
)

type anchor uint8

const (
	atLeft anchor = iota
	atMiddle
	atRight
)

// drawing is a figure as shapes.
type drawing struct {
	width, height float64
	shapes        []shape
}

func (d *drawing) add(shapes ...shape) { d.shapes = append(d.shapes, shapes...) }

func (d *drawing) rect(x, y, w, h float64, colour Ink, link string) {
	d.add(shape{kind: shapeRect, x: x, y: y, w: w, h: h, colour: colour, link: link})
}

func (d *drawing) label(x, y float64, text string, bold bool) {
	d.add(shape{kind: shapeText, x: x, y: y, w: labelWidth, text: text, size: labelSize, colour: inkText, bold: bold})
}
