package timeline

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// WrittenMoment is a moment that a person wrote into running text: @3:12 or @1:03:12.5 on the case clock, @2/3:12 in media
// time of part 2.
type WrittenMoment struct {
	Start int   `json:"start"` // bytes of the text
	End   int   `json:"end"`
	Part  int   `json:"part"` // 1, 2, ... in the order of the operation; 0: on the case clock
	Ms    int64 `json:"ms"`
}

// WrittenMoments finds the moments in a text, in order. Hours are optional; minutes without hours have one to three digits,
// with hours two; seconds have two, and up to three digits may follow a point. An @ within a word begins none, and
// neither does a time that goes on as another number: such text stays text.
func WrittenMoments(text string) []WrittenMoment {
	moments := []WrittenMoment{}
	for at := 0; at < len(text); at++ {
		if before, _ := utf8.DecodeLastRuneInString(text[:at]); text[at] != '@' || at > 0 && inWord(before) {
			continue
		}
		if m, ok := writtenAt(text, at); ok {
			moments = append(moments, m)
			at = m.End - 1
		}
	}
	return moments
}

// inWord tells whether a character goes on with a word or a number.
func inWord(r rune) bool {
	return r == '_' || unicode.In(r, unicode.Letter, unicode.Mark, unicode.Number)
}

func writtenAt(text string, at int) (WrittenMoment, bool) {
	m := WrittenMoment{Start: at}
	rest := text[at+1:]
	if number, after, ok := digits(rest, 1, 3); ok && strings.HasPrefix(after, "/") {
		if number == 0 {
			return m, false
		}
		m.Part, rest = int(number), after[1:]
	}
	first, after, ok := digits(rest, 1, 3)
	if !ok || !strings.HasPrefix(after, ":") {
		return m, false
	}
	firstDigits := len(rest) - len(after)
	second, after, ok := digits(after[1:], 2, 2)
	if !ok || second > 59 {
		return m, false
	}
	seconds := first*60 + second
	if third, further, ok := thirdOf(after); ok {
		if third > 59 || firstDigits > 2 {
			return m, false
		}
		seconds, after = seconds*60+third, further
	}
	m.Ms = seconds * 1000
	if strings.HasPrefix(after, ".") {
		if fraction, further, ok := digits(after[1:], 1, 3); ok {
			for range 3 - (len(after) - 1 - len(further)) {
				fraction *= 10
			}
			m.Ms, after = m.Ms+fraction, further
		}
	}
	if next, _ := utf8.DecodeRuneInString(after); after != "" && inWord(next) || goesOn(after) {
		return m, false
	}
	m.End = len(text) - len(after)
	return m, true
}

// goesOn tells whether a colon or a point with a digit follows: then it was another kind of number.
func goesOn(after string) bool {
	return len(after) > 1 && (after[0] == ':' || after[0] == '.') && after[1] >= '0' && after[1] <= '9'
}

// thirdOf reads ":12" as the last of three numbers.
func thirdOf(text string) (int64, string, bool) {
	if !strings.HasPrefix(text, ":") {
		return 0, text, false
	}
	return digits(text[1:], 2, 2)
}

// digits reads a number of at least and at most so many digits; it must end there.
func digits(text string, least, most int) (int64, string, bool) {
	n, value := 0, int64(0)
	for n < len(text) && text[n] >= '0' && text[n] <= '9' {
		if n == most {
			return 0, text, false
		}
		value = value*10 + int64(text[n]-'0')
		n++
	}
	return value, text[n:], n >= least
}

// WriteMoment writes a moment as WrittenMoments reads it; part 0 is the case clock. There are no moments before 0 or from
// the thousandth hour on, which nothing written can name.
func WriteMoment(part int, ms int64) string {
	var b strings.Builder
	b.WriteByte('@')
	if part > 0 {
		fmt.Fprintf(&b, "%d/", part)
	}
	seconds := ms / 1000
	if hours := seconds / 3600; hours > 0 {
		fmt.Fprintf(&b, "%d:%02d:%02d", hours, seconds/60%60, seconds%60)
	} else {
		fmt.Fprintf(&b, "%d:%02d", seconds/60, seconds%60)
	}
	if fraction := ms % 1000; fraction > 0 {
		b.WriteString(strings.TrimRight(fmt.Sprintf(".%03d", fraction), "0"))
	}
	return b.String()
}
