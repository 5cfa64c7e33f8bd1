package server

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/danielgtaylor/huma/v2"
)

// strictJSON refuses what a lenient reader would repair in silence: Go replaces invalid UTF-8, and one of the two
// databases cannot keep a NUL.
var strictJSON = huma.Format{
	Marshal: func(w io.Writer, v any) error {
		encoder := json.NewEncoder(w)
		encoder.SetEscapeHTML(false)
		return encoder.Encode(v)
	},
	Unmarshal: func(data []byte, v any) error {
		if !utf8.Valid(data) {
			return errors.New("is not valid UTF-8 text")
		}
		if err := json.Unmarshal(data, v); err != nil {
			return wordsForJSON(err)
		}
		// The library reads a body twice: first into any, to check it.
		if parsed, ok := v.(*any); ok && holdsNUL(*parsed) {
			return errors.New("holds a NUL character, which no text may")
		}
		if halved(data) {
			return errors.New("holds half a character (a lone surrogate); send the text as UTF-8")
		}
		return nil
	},
}

// wordsForJSON leaves out the names of Go types and the values.
func wordsForJSON(err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return fmt.Errorf("is not JSON: it breaks off or goes wrong at byte %d", syntax.Offset)
	case errors.As(err, &kind):
		return fmt.Errorf("holds a value that does not fit its field %q", kind.Field)
	}
	return errors.New("is not JSON that can be read")
}

// escape is one backslash escape of a JSON text; the first group holds the number of a UTF-16 unit.
var escape = regexp.MustCompile(`\\(?:u([0-9A-Fa-f]{4})|.)`)

// halved reports whether valid JSON escapes one half of a surrogate pair without the other (RFC 8259, 8.2).
func halved(data []byte) bool {
	var high []int // where a first half was escaped that still waits for the second
	for _, at := range escape.FindAllSubmatchIndex(data, -1) {
		unit := rune(0)
		if at[2] >= 0 {
			number, _ := strconv.ParseUint(string(data[at[2]:at[3]]), 16, 16)
			unit = rune(number)
		}
		second := 0xdc00 <= unit && unit <= 0xdfff
		if follows := high != nil && high[1] == at[0]; second != follows || high != nil && !follows {
			return true
		}
		high = nil
		if 0xd800 <= unit && unit <= 0xdbff {
			high = at
		}
	}
	return high != nil
}

func holdsNUL(value any) bool {
	switch v := value.(type) {
	case string:
		return strings.ContainsRune(v, 0)
	case []any:
		for _, item := range v {
			if holdsNUL(item) {
				return true
			}
		}
	case map[string]any:
		for key, item := range v {
			if strings.ContainsRune(key, 0) || holdsNUL(item) {
				return true
			}
		}
	}
	return false
}

// storable reports whether every text of an address can be kept and compared by either database.
func storable(u *url.URL) bool {
	if !storableText(u.Path) {
		return false
	}
	query, err := url.ParseQuery(u.RawQuery)
	if err != nil {
		return false
	}
	for name, values := range query {
		for _, text := range append(values, name) {
			if !storableText(text) {
				return false
			}
		}
	}
	return true
}

func storableText(text string) bool { return utf8.ValidString(text) && !strings.ContainsRune(text, 0) }
