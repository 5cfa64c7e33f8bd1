package annotate

import (
	"context"
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// nameless refuses texts that name somebody: a pseudonym of the unit, or, unless the meeting names operators, a person of
// the unit. It asks for all of them and not only for those of the case, so that a refusal tells nothing of the case.
func (w *meetingWork) nameless(ctx context.Context, what string, texts []writtenText) error {
	var p problems
	if err := w.withoutPseudonyms(ctx, &p, texts); err != nil {
		return err
	}
	if w.NamesOperators {
		return p.err(what)
	}
	accounts, err := w.tx.Users(ctx)
	if err != nil {
		return err
	}
	for _, account := range accounts {
		form := naming(account.Name)
		if form == nil {
			continue
		}
		for _, text := range texts {
			if form.MatchString(text.text) {
				p.add(text.field, "names %s; write what was done and not by whom, or have the chair name the operators", account.Name)
			}
		}
	}
	return p.err(what)
}

// naming matches a person's whole name, and the last part of it after a form of address. A name of one word is often a
// word of the language and is not looked for alone.
func naming(name string) *regexp.Regexp {
	words := strings.Fields(name)
	if len(words) < 2 {
		return nil
	}
	quoted := make([]string, len(words))
	for i, word := range words {
		quoted[i] = regexp.QuoteMeta(word)
	}
	const begin, end = `(?i)(?:^|[^\pL\pN])`, `(?:$|[^\pL\pN])`
	return regexp.MustCompile(begin + `(?:` + strings.Join(quoted, `\s+`) + `|(?:mr|mrs|ms|miss|dr|prof|professor|sister|nurse)\.?\s+` +
		quoted[len(quoted)-1] + `)` + end)
}

func (w *meetingWork) withoutPseudonyms(ctx context.Context, p *problems, texts []writtenText) error {
	var tokens []string
	for _, text := range texts {
		tokens = append(tokens, pseudonymLike(text.text)...)
	}
	if len(tokens) == 0 {
		return nil
	}
	slices.Sort(tokens)
	tokens = slices.Compact(tokens)
	named, err := w.tx.CasesNamed(ctx, tokens)
	if err != nil || len(named) == 0 {
		return err
	}
	cases, err := w.tx.Cases(ctx, named)
	if err != nil {
		return err
	}
	for _, c := range cases {
		for _, text := range texts {
			if slices.Contains(pseudonymLike(text.text), strings.ToLower(c.Pseudonym)) {
				p.add(text.field, "holds a pseudonym of the unit; take it out")
			}
		}
	}
	return nil
}

// pseudonymLike gives the words of a text, in lower case, that could be a pseudonym and no figure: those with a digit and a
// letter, and numbers of six digits or more.
func pseudonymLike(text string) []string {
	var found []string
	for _, word := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return unicode.IsSpace(r) || strings.ContainsRune(`,;:!?()[]{}"'“”‘’«»`, r)
	}) {
		word = strings.Trim(word, "./")
		digits := strings.Count(strings.Map(func(r rune) rune {
			if unicode.IsDigit(r) {
				return '0'
			}
			return r
		}, word), "0")
		letters := strings.ContainsFunc(word, unicode.IsLetter)
		if digits > 0 && letters || digits >= 6 {
			found = append(found, word)
		}
	}
	return found
}
