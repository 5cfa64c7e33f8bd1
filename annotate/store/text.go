package store

import (
	"database/sql/driver"
	"encoding/json"
	"fmt"

	"zonule/timeline"
)

// text is a column that holds a value as JSON text.
type text[T any] struct{ value T }

// asText gives the argument for such a column.
func asText[T any](value T) text[T] { return text[T]{value} }

// Value implements driver.Valuer.
func (t text[T]) Value() (driver.Value, error) {
	encoded, err := json.Marshal(t.value)
	return string(encoded), err
}

// Scan implements sql.Scanner.
func (t *text[T]) Scan(from any) error {
	var encoded []byte
	switch from := from.(type) {
	case string:
		encoded = []byte(from)
	case []byte:
		encoded = from
	default:
		return fmt.Errorf("a text column holds %T", from)
	}
	if len(encoded) == 0 {
		return nil
	}
	return json.Unmarshal(encoded, &t.value)
}

// place gives the two columns of an instant that may be missing.
func place(at *timeline.Instant) (part *string, ms *int64) {
	if at == nil {
		return nil, nil
	}
	return &at.Part, &at.Ms
}

// instant reads them back.
func instant(part *string, ms *int64) *timeline.Instant {
	if part == nil || ms == nil {
		return nil
	}
	return &timeline.Instant{Part: *part, Ms: *ms}
}
