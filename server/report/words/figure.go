package words

import (
	"fmt"
	"math"
	"strings"
)

// Figure writes a number with two or three digits and a true minus sign; one without an upper bound, which is the largest
// there is, as "any size".
func Figure(value float64) string {
	var text string
	switch size := math.Abs(value); {
	case math.IsNaN(value):
		return "not known"
	case size >= math.MaxFloat64/2:
		return "any size"
	case size >= 1e6:
		text = "over a million"
		if value < 0 {
			text = "under minus a million"
		}
	case size >= 100:
		text = fmt.Sprintf("%.0f", value)
	case size >= 10:
		text = fmt.Sprintf("%.1f", value)
	case size >= 0.095:
		text = fmt.Sprintf("%.2f", value)
	case size >= 1e-4:
		text = fmt.Sprintf("%.*f", 1-int(math.Floor(math.Log10(size))), value)
	default:
		return "0"
	}
	return strings.Replace(text, "-", "−", 1)
}
