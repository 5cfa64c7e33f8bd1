package sheet

import (
	"fmt"
	"strconv"
	"unicode/utf8"

	"zonule/server/report/typeset"
)

// Ink is a colour of the sheet.
type Ink = typeset.Colour

var (
	inkText   = Ink{R: 22, G: 32, B: 31}
	inkSoft   = Ink{R: 74, G: 88, B: 86}
	inkRule   = Ink{R: 120, G: 135, B: 138}
	inkGrid   = Ink{R: 221, G: 227, B: 226}
	inkAccent = Ink{R: 11, G: 90, B: 112}
	inkGrave  = Ink{R: 168, G: 31, B: 31}
	inkWarn   = Ink{R: 138, G: 75, B: 0}
	inkPale   = Ink{R: 241, G: 243, B: 243}
	inkUnseen = Ink{R: 226, G: 226, B: 226}
	inkPaper  = Ink{R: 255, G: 255, B: 255}
)

// stageInks are the colours of the six stages: the colour-blind-safe palette of Okabe and Ito (2008). The number of the
// stage says the same.
var stageInks = []Ink{
	{R: 150, G: 160, B: 160}, // no stage
	{R: 86, G: 180, B: 233},
	{R: 230, G: 159, B: 0},
	{R: 213, G: 94, B: 0},
	{R: 0, G: 158, B: 115},
	{R: 0, G: 114, B: 178},
	{R: 204, G: 121, B: 167},
}

// StageInk gives the colour of stage 1 to 6; any other number is grey.
func StageInk(stage int) Ink {
	if stage < 0 || stage >= len(stageInks) {
		return stageInks[0]
	}
	return stageInks[stage]
}

// stageText is the colour of text on a stage, of the contrast that small text needs.
func stageText(stage int) Ink {
	if stage == 5 {
		return inkPaper
	}
	return Ink{R: 10, G: 20, B: 20}
}

func stageNumber(stage int) string { return strconv.Itoa(stage) }

func hex(c Ink) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// roughWidth is about the width in mm of a text in a sans serif of the size in pt, on the wide side.
func roughWidth(text string, size float64) float64 {
	return float64(utf8.RuneCountInString(text)) * size * 25.4 / 72 * 0.58
}

// clockLabel writes a time of the case clock for the axis.
func clockLabel(ms int64) string {
	seconds := ms / 1000
	if seconds >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", seconds/3600, seconds/60%60, seconds%60)
	}
	return fmt.Sprintf("%d:%02d", seconds/60, seconds%60)
}
