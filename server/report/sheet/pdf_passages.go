package sheet

import (
	"bytes"
	hexadecimal "encoding/hex"
	"fmt"
	"image"
	"image/color"

	"zonule/server/report/typeset"
)

const (
	pictureColumns = 3
	pictureGap     = 4.0
	// tallestPicture keeps an upright picture from filling a page.
	tallestPicture = 60.0
)

// passages draws texts with their pictures in rows under them.
func (p *printer) passages(passages Passages) {
	for _, passage := range passages {
		by := p.set.OneLine(passage.By, styleName, columnWidth/2)
		head := p.set.OneLine(passage.Head, styleStrong, columnWidth-by.Width()-3)
		text := p.set.Wrap(passage.Plain(), styleBody, columnWidth)
		p.need(head.Height() + min(text.Height(), 4*styleBody.LineHeight()))
		p.set.Draw(head, marginSide, p.y, columnWidth, typeset.Start)
		p.set.Draw(by, marginSide, p.y+0.6, columnWidth, typeset.Right)
		p.y += head.Height()
		p.flow(text, marginSide, columnWidth)
		p.y += 1
		for from := 0; from < len(passage.Pictures); from += pictureColumns {
			p.pictures(passage.Pictures[from:min(from+pictureColumns, len(passage.Pictures))])
		}
		p.y += 1.6
	}
}

// pictures draws one row; captions stand under their pictures, those without one at the same height.
func (p *printer) pictures(row []Picture) {
	width := (columnWidth - pictureGap*(pictureColumns-1)) / pictureColumns
	widths, heights := make([]float64, len(row)), make([]float64, len(row))
	captions, subs := make([]typeset.Block, len(row)), make([]typeset.Block, len(row))
	tallest, under := 0.0, 0.0
	for i, picture := range row {
		if w, h := picture.size(); w > 0 {
			widths[i], heights[i] = width, width*float64(h)/float64(w)
			if heights[i] > tallestPicture {
				widths[i], heights[i] = width*tallestPicture/heights[i], tallestPicture
			}
		}
		captions[i] = p.set.OneLine(picture.Caption, p.linked(styleHead, picture.Link), width)
		subs[i] = p.set.Wrap(picture.Sub, styleName, width)
		tallest, under = max(tallest, heights[i]), max(under, captions[i].Height()+subs[i].Height())
	}
	p.need(tallest + under + 1)
	for i, picture := range row {
		x := marginSide + float64(i)*(width+pictureGap)
		if heights[i] > 0 {
			p.image(picture, x, p.y, widths[i], heights[i])
		}
		top := p.y + tallest + 0.6
		p.set.Draw(captions[i], x, top, width, typeset.Left)
		p.set.Draw(subs[i], x, top+captions[i].Height(), width, typeset.Left)
		if picture.Link != "" {
			p.link(picture.Link, x, p.y, width, tallest+0.6+captions[i].Height())
		}
	}
	p.y += tallest + under + 2
}

// image writes a picture into the page itself (ISO 32000-1, 8.9.7). As objects of the file the library would order pictures
// of one width by chance, and the same document would not give the same bytes.
func (p *printer) image(picture Picture, x, y, width, height float64) {
	config, _, err := image.DecodeConfig(bytes.NewReader(picture.JPEG))
	if err != nil {
		return
	}
	space := "/RGB"
	if config.ColorModel == color.GrayModel {
		space = "/G"
	}
	const points = 72 / 25.4
	p.pdf.RawWriteStr(fmt.Sprintf("q %.3f 0 0 %.3f %.3f %.3f cm BI /W %d /H %d /CS %s /BPC 8 /F [/AHx /DCT] ID\n%s>\nEI Q",
		width*points, height*points, x*points, (pageHeight-y-height)*points, config.Width, config.Height, space, hexadecimal.EncodeToString(picture.JPEG)))
}
