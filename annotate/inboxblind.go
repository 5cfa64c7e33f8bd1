package annotate

import (
	"context"
	"regexp"
	"strings"
	"unicode"
)

// dated finds dates as people write them: 2026-03-04, 4.3.2026, 4/3/26.
var dated = regexp.MustCompile(`\b\d{4}-\d{1,2}-\d{1,2}\b|\b\d{1,2}[./-]\d{1,2}[./-]\d{2,4}\b`)

// checkBlinded refuses words for a meeting that hold the pseudonym of the case, the name of a person of the unit or a date.
func checkBlinded(ctx context.Context, tx Tx, c Case, words string) error {
	var p problems
	p.text("words", words, 1, 500)
	accounts, err := tx.Users(ctx)
	if err != nil {
		return err
	}
	if holdsWords(words, c.Pseudonym) {
		p.add("words", "hold the pseudonym of the case; the meeting sees it blinded, so leave it out")
	}
	if date := dated.FindString(words); date != "" {
		p.add("words", "hold a date (%s); the meeting sees the case blinded: write how many days after the operation", date)
	}
	for _, account := range accounts {
		if name := namedIn(words, account.Name, c.operates(account.ID)); name != "" {
			p.add("words", "name a person (%s); the meeting sees the case blinded: write what part the person had", name)
			break
		}
	}
	return p.err("The request")
}

// namedIn gives what of a person's name the words hold, "" for nothing: the whole name, and of somebody who took part in
// the case also a single one of their names of three letters or more, written as it is. Small ones such as "van" name nobody.
func namedIn(words, name string, tookPart bool) string {
	if holdsWords(words, name) {
		return name
	}
	if !tookPart {
		return ""
	}
	for part := range strings.FieldsFuncSeq(name, func(r rune) bool { return !unicode.IsLetter(r) }) {
		letters := []rune(part)
		if len(letters) < 3 || unicode.IsLower(letters[0]) {
			continue
		}
		for word := range strings.FieldsFuncSeq(words, func(r rune) bool { return !unicode.IsLetter(r) }) {
			if word == part {
				return part
			}
		}
	}
	return ""
}

// holdsWords reports whether the text holds the words, whatever their case, apart from within longer words.
func holdsWords(text, words string) bool {
	lower := func(s string) string {
		return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }), " ")
	}
	words = lower(words)
	return words != "" && strings.Contains(" "+lower(text)+" ", " "+words+" ")
}
