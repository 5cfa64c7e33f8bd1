package annotate

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"zonule/timeline"
)

// The rules here refuse what is impossible. What is merely unlikely is taken and doubted: the page may ask, the record
// may not lie.

var idForm = regexp.MustCompile(`^[0-9A-Za-z_-]{1,64}$`)

// id checks an id that a client made.
func (p *problems) id(field, id string) {
	if !idForm.MatchString(id) {
		p.add(field, "must be an id of 1 to 64 letters, digits, - and _")
	}
}

// text checks a text of least to most characters. Line breaks and tabs are the only control characters taken.
func (p *problems) text(field, text string, least, most int) {
	switch n := utf8.RuneCountInString(text); {
	case !utf8.ValidString(text):
		p.add(field, "is not valid UTF-8 text")
	case strings.ContainsFunc(text, func(r rune) bool { return unicode.Is(unicode.Cc, r) && r != '\n' && r != '\r' && r != '\t' }):
		p.add(field, "holds a control character; take it out")
	case !turnsBack(text):
		p.add(field, "turns the direction of writing by a hidden mark and not back; type it anew")
	case n < least || least > 0 && strings.TrimSpace(text) == "":
		p.add(field, "must not be empty")
	case n > most:
		p.add(field, "has %d characters; at most %d are possible", n, most)
	}
}

// turnsBack reports whether every mark that turns the direction of writing is closed by its own, so that the text
// leaves what stands around it alone. Source: Unicode Standard Annex 9, section 2 (from memory).
func turnsBack(text string) bool {
	const embeddings, isolates, endOfEmbedding, endOfIsolate = "\u202a\u202b\u202d\u202e", "\u2066\u2067\u2068", '\u202c', '\u2069'
	var awaited []rune
	for _, r := range text {
		switch {
		case strings.ContainsRune(embeddings, r):
			awaited = append(awaited, endOfEmbedding)
		case strings.ContainsRune(isolates, r):
			awaited = append(awaited, endOfIsolate)
		case r == endOfEmbedding || r == endOfIsolate:
			if len(awaited) == 0 || awaited[len(awaited)-1] != r {
				return false
			}
			awaited = awaited[:len(awaited)-1]
		}
	}
	return len(awaited) == 0
}

// date checks a date, which may be "" when it is not needed.
func (p *problems) date(field, date string, needed bool) bool {
	if date == "" {
		if needed {
			p.add(field, "must be given, as YYYY-MM-DD")
		}
		return false
	}
	if parsed, err := time.Parse(time.DateOnly, date); err != nil || parsed.Year() < 1950 || parsed.Year() > 2200 {
		p.add(field, "is not a date of the form YYYY-MM-DD")
		return false
	}
	return true
}

// number checks a quantity against the limits of its kind, and doubts one that is unlikely.
func (p *problems) number(field, kind string, value float64) {
	limit := fieldLimits[kind]
	if p.possible(field, kind, value) && (value < limit.WarnLow || value > limit.WarnHigh) {
		p.doubt(field, "is unusual: %s lies outside %s; please check it", plain(value), span(limit.WarnLow, limit.WarnHigh, limit.Unit))
	}
}

// possible refuses a quantity outside the limits of its kind.
func (p *problems) possible(field, kind string, value float64) bool {
	limit := fieldLimits[kind]
	if math.IsNaN(value) || value < limit.Least || value > limit.Most {
		p.add(field, "must lie between %s", strings.Replace(span(limit.Least, limit.Most, limit.Unit), " to ", " and ", 1))
		return false
	}
	return true
}

func span(low, high float64, unit string) string {
	return strings.TrimSpace(plain(low) + " to " + plain(high) + " " + unit)
}

// acuity takes any text, since it is kept as typed, and doubts one that cannot be converted.
func (p *problems) acuity(field, typed string) {
	p.text(field, typed, 0, 40)
	if strings.TrimSpace(typed) == "" {
		return
	}
	if _, err := timeline.ParseAcuity(typed, timeline.NotationAuto); err != nil {
		p.doubt(field, "is kept as typed and not converted: %s", err)
	}
}

func plain(value float64) string { return strconv.FormatFloat(value, 'f', -1, 64) }

// maybe checks a quantity that may be unknown.
func maybe[T int | float64](p *problems, field, kind string, value *T) {
	if value != nil {
		p.number(field, kind, float64(*value))
	}
}

// oneOf checks a word against a list; "" is taken when it is not needed.
func oneOf[T ~string](p *problems, field string, word T, needed bool, list ...T) {
	if word == "" && !needed {
		return
	}
	for _, known := range list {
		if word == known {
			return
		}
	}
	words := make([]string, len(list))
	for i, known := range list {
		words[i] = string(known)
	}
	p.add(field, "must be one of %s", strings.Join(words, ", "))
}

// addDays gives the date some days later.
func addDays(date string, days int) string {
	at, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return ""
	}
	return at.AddDate(0, 0, days).Format(time.DateOnly)
}

// yearsBetween is the time from one date to another; 0 when either is not a date.
func yearsBetween(from, to string) float64 {
	a, errA := time.Parse(time.DateOnly, from)
	z, errZ := time.Parse(time.DateOnly, to)
	if errA != nil || errZ != nil {
		return 0
	}
	return z.Sub(a).Hours() / 24 / 365.25
}
