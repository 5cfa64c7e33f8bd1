package annotate

import (
	"fmt"
	"math"
	"slices"

	"zonule/timeline"
)

// EndothelialExam is one specular examination of one eye.
type EndothelialExam struct {
	// Density is in cells/mm2; 0 on input asks for the one pooled from ImageCounts.
	Density float64 `json:"density"`
	Cells   *int    `json:"cells,omitempty"` // counted, all images together
	// CV is the coefficient of variation of cell area as a fraction; 30 on input means 0.30.
	CV           *float64 `json:"cv,omitempty"`
	Hexagonality *float64 `json:"hexagonality,omitempty"` // percent
	Images       *int     `json:"images,omitempty"`
	// ImageCounts are the counts of the single images. What the exam leaves open is pooled from them; what it says stands.
	ImageCounts []ImageCount `json:"imageCounts,omitempty"`
	Instrument  string       `json:"instrument,omitempty"`
	Method      string       `json:"method,omitempty"`
	Date        string       `json:"date,omitempty"`
}

// ImageCount is what was counted on one image.
type ImageCount struct {
	Density float64  `json:"density"`      // cells/mm2
	Cells   int      `json:"cells"`        // counted
	CV      *float64 `json:"cv,omitempty"` // as in the exam
}

// mostImages bounds the images of one exam.
const mostImages = 100

// normalisedExam turns coefficients of variation given in percent into the fractions that are stored, and fills what the
// exam leaves open from its images.
func normalisedExam(exam *EndothelialExam) *EndothelialExam {
	if exam == nil {
		return nil
	}
	copied := *exam
	copied.CV = fraction(exam.CV)
	copied.ImageCounts = slices.Clone(exam.ImageCounts)
	for i := range copied.ImageCounts {
		copied.ImageCounts[i].CV = fraction(copied.ImageCounts[i].CV)
	}
	pooled, err := copied.pooled()
	if err != nil {
		return &copied
	}
	if copied.Density == 0 {
		copied.Density = pooled.Density
	}
	if copied.Cells == nil {
		copied.Cells = pooled.Cells
	}
	if copied.CV == nil {
		copied.CV = pooled.CV
	}
	if copied.Images == nil {
		copied.Images = pooled.Images
	}
	return &copied
}

// fraction leaves a value that is neither fraction nor percentage as it is, for validate to refuse.
func fraction(cv *float64) *float64 {
	if cv == nil {
		return nil
	}
	value, err := timeline.NormaliseCV(*cv)
	if err != nil {
		return cv
	}
	return &value
}

// pooled is the count of all images together; an error when there are none or one cannot be.
func (e EndothelialExam) pooled() (timeline.Count, error) {
	counts := make([]timeline.Count, len(e.ImageCounts))
	for i, image := range e.ImageCounts {
		counts[i] = timeline.Count{Density: image.Density, Cells: &image.Cells, CV: image.CV}
	}
	return timeline.Pool(counts)
}

// validateBefore checks an exam that was made before the operation; nil is no exam.
func (e *EndothelialExam) validateBefore(p *problems, path, operated string) {
	if e == nil {
		return
	}
	e.validate(p, path)
	if e.Date > operated && operated != "" {
		p.add(path+"date", "lies after the operation; a later count belongs to a visit")
	}
}

// validateAfter checks an exam that was made at a visit; nil is no exam.
func (e *EndothelialExam) validateAfter(p *problems, path, operated, today string) {
	if e == nil {
		return
	}
	e.validate(p, path)
	if e.Date > today {
		p.add(path+"date", "lies in the future")
	}
	if e.Date != "" && e.Date < operated {
		p.add(path+"date", "lies before the operation")
	}
}

func (e EndothelialExam) validate(p *problems, path string) {
	p.number(path+"density", "exam.density", e.Density)
	maybe(p, path+"cells", "exam.cells", e.Cells)
	p.variation(path+"cv", e.CV)
	maybe(p, path+"hexagonality", "exam.hexagonality", e.Hexagonality)
	maybe(p, path+"images", "exam.images", e.Images)
	p.text(path+"instrument", e.Instrument, 0, 120)
	p.text(path+"method", e.Method, 0, 120)
	p.date(path+"date", e.Date, false)
	e.validateImages(p, path)
}

func (e EndothelialExam) validateImages(p *problems, path string) {
	if len(e.ImageCounts) > mostImages {
		p.add(path+"imageCounts", "has %d images; at most %d are possible", len(e.ImageCounts), mostImages)
		return
	}
	for i, image := range e.ImageCounts {
		field := fmt.Sprintf("%simageCounts[%d].", path, i)
		p.number(field+"density", "exam.density", image.Density)
		p.possible(field+"cells", "exam.cells", float64(image.Cells))
		p.variation(field+"cv", image.CV)
	}
	pooled, err := e.pooled()
	if err != nil {
		return
	}
	if apart(e.Density, pooled.Density) {
		p.doubt(path+"density", "differs from %.0f cells/mm², the images pooled; the entered value counts", pooled.Density)
	}
	if e.Cells != nil && *e.Cells != *pooled.Cells {
		p.doubt(path+"cells", "differs from %d, the cells of all images; the entered value counts", *pooled.Cells)
	}
	if e.CV != nil && pooled.CV != nil && apart(*e.CV, *pooled.CV) {
		p.doubt(path+"cv", "differs from %.2f, the images pooled; the entered value counts", *pooled.CV)
	}
	if e.Images != nil && *e.Images != len(e.ImageCounts) {
		p.doubt(path+"images", "differs from %d, the images that are listed", len(e.ImageCounts))
	}
}

// pooledTolerance is the share by which an entered value may differ from the pooled one before it is told: what rounding
// on the instrument's printout explains. Source: our definition.
const pooledTolerance = 0.02

func apart(entered, pooled float64) bool {
	return math.Abs(entered-pooled) > pooledTolerance*math.Abs(pooled)
}

// variation checks a coefficient of variation, which may be unknown.
func (p *problems) variation(field string, cv *float64) {
	if cv == nil {
		return
	}
	if _, err := timeline.NormaliseCV(*cv); err != nil {
		p.add(field, "is not possible; give a fraction such as 0.30 or a percentage such as 30")
		return
	}
	p.number(field, "exam.cv", *fraction(cv))
}

// Count is the exam as the arithmetic takes it.
func (e EndothelialExam) Count() timeline.Count {
	return timeline.Count{Density: e.Density, Cells: e.Cells, CV: e.CV, Images: e.Images, Instrument: e.Instrument, Method: e.Method}
}
