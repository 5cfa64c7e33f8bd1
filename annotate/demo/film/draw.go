package film

import "image"

// projector draws the frames of one script.
type projector struct {
	script Script
	plan   *plan
	eye    *eye
	canvas *canvas
	words  *lettering
}

func newProjector(s Script) (*projector, error) {
	words, err := newLettering(s.Height)
	if err != nil {
		return nil, err
	}
	return &projector{script: s, plan: newPlan(s), eye: newEye(s), canvas: newCanvas(s.Width, s.Height), words: words}, nil
}

// frame draws one frame of a part. The picture is used again for the next frame.
func (p *projector) frame(part int, n int64) *image.RGBA {
	ms := p.script.FrameMs(n)
	t := float64(p.script.offsetMs(part)+ms) / 1000
	v, c := p.plan.at(t), p.canvas
	copy(c.img.Pix, p.eye.still.Pix)
	c.fundus(v, p.plan.white)
	c.lay(p.eye.irisLayer(c, v.pupil))
	c.chamber(v, p.eye.iris, t)
	c.reflexes(v)
	p.words.burn(c, ms, part, len(p.script.Parts))
	return c.img
}
