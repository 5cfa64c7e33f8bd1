package words

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"zonule/timeline"
)

// Length writes a duration as it is read in theatre: m:ss, with tenths under a minute, h:mm:ss from an hour.
func Length(ms int64) string {
	if ms < 0 {
		return "−" + Length(-ms)
	}
	if tenths := (ms + 50) / 100; tenths < 600 {
		return fmt.Sprintf("0:%02d.%d", tenths/10, tenths%10)
	}
	seconds := (ms + 500) / 1000
	if seconds >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", seconds/3600, seconds/60%60, seconds%60)
	}
	return fmt.Sprintf("%d:%02d", seconds/60, seconds%60)
}

// Measured writes a duration with what it is worth; a missing one is told in words and is never 0.
func Measured(ms *int64, quality timeline.Quality) string {
	switch {
	case ms == nil || quality == timeline.NotRecorded:
		return "not recorded"
	case quality == timeline.LowerBound:
		return "at least " + Length(*ms)
	case quality == timeline.NoStatistics:
		return Length(*ms) + " of edited film"
	}
	return Length(*ms)
}

// Instant writes a time in a part or on the case clock as mm:ss.mmm.
func Instant(ms int64) string {
	if ms < 0 {
		return "−" + Instant(-ms)
	}
	return fmt.Sprintf("%02d:%02d.%03d", ms/60_000, ms/1000%60, ms%1000)
}

// Part names a part of a recording.
func Part(position int) string { return fmt.Sprintf("Part %d", position) }

// Number writes a value with so many decimals, never more zeros than said, and with a true minus sign.
func Number(value float64, decimals int) string {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return "not known"
	}
	text := strconv.FormatFloat(value, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return strings.Replace(text, "-", "−", 1)
}

// AsEntered writes a value as it was entered.
func AsEntered(value float64) string {
	return strings.Replace(strconv.FormatFloat(value, 'f', -1, 64), "-", "−", 1)
}

// Date writes 2026-03-12 as 12 March 2026; what is no date stays as it is.
func Date(text string) string {
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return text
	}
	return day.Format("2 January 2006")
}

// Wall writes an instant given as Unix ms in a time zone.
func Wall(ms int64, zone *time.Location) string {
	return time.UnixMilli(ms).In(zone).Format("2 January 2006, 15:04 MST")
}

// Plural writes a count with its noun.
func Plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// Ordinal writes 62 as 62nd.
func Ordinal(n int) string {
	suffix := "th"
	if tens := n / 10 % 10; tens != 1 {
		switch n % 10 {
		case 1:
			suffix = "st"
		case 2:
			suffix = "nd"
		case 3:
			suffix = "rd"
		}
	}
	return strconv.Itoa(n) + suffix
}

// List joins words as a sentence does.
func List(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// Lower makes the first letter small, unless the word is an abbreviation.
func Lower(text string) string {
	runes := []rune(text)
	if len(runes) > 1 && strings.ToUpper(string(runes[1])) == string(runes[1]) && strings.ToLower(string(runes[1])) != string(runes[1]) {
		return text
	}
	return strings.ToLower(string(runes[:min(1, len(runes))])) + string(runes[min(1, len(runes)):])
}

// Upper makes the first letter large.
func Upper(text string) string {
	runes := []rune(text)
	return strings.ToUpper(string(runes[:min(1, len(runes))])) + string(runes[min(1, len(runes)):])
}

// Percentile writes a place without claiming more than a group of that size can tell.
func Percentile(value float64) string {
	return Ordinal(min(max(int(value+0.5), 1), 99))
}
