package cohort

import (
	"cmp"
	"fmt"
	"math"
	"strings"
)

// count writes a whole number with a comma between thousands.
func count(n int) string {
	text := fmt.Sprint(max(n, -n))
	for at := len(text) - 3; at > 0; at -= 3 {
		text = text[:at] + "," + text[at:]
	}
	if n < 0 {
		return "-" + text
	}
	return text
}

// whole rounds to a whole number.
func whole(value float64) string { return count(int(math.Round(value))) }

// trimmed takes trailing zeros off a decimal fraction.
func trimmed(text string) string {
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// compareDates orders dates written YYYY-MM-DD.
func compareDates(a, b string) int { return cmp.Compare(a, b) }
