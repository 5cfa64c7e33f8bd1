package annotate

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
)

// Difference is one field whose value changed; an absent value is null.
type Difference struct {
	Field  string `json:"field"` // JSON path, such as "before.age"
	Before any    `json:"before"`
	After  any    `json:"after"`
}

// setByServer are fields that say nothing about what a person changed.
var setByServer = []string{"revision", "change", "createdAt", "updatedAt", "createdBy"}

// Differences compares two values by their JSON, field by field in order of their names; lists are compared whole.
// Fields that the server sets are left out. A nil value has no fields.
func Differences(before, after any) []Difference {
	differences := []Difference{}
	compare("", asJSON(before), asJSON(after), &differences)
	return differences
}

func compare(path string, before, after any, to *[]Difference) {
	was, wasObject := before.(map[string]any)
	is, isObject := after.(map[string]any)
	if path != "" && (!wasObject && before != nil || !isObject && after != nil) || !wasObject && !isObject {
		if !reflect.DeepEqual(before, after) {
			*to = append(*to, Difference{path, before, after})
		}
		return
	}
	names := maps.Clone(was)
	if names == nil {
		names = map[string]any{}
	}
	maps.Copy(names, is)
	for _, name := range slices.Sorted(maps.Keys(names)) {
		if path == "" {
			if !slices.Contains(setByServer, name) {
				compare(name, was[name], is[name], to)
			}
			continue
		}
		compare(path+"."+name, was[name], is[name], to)
	}
}

// asJSON reads a value's JSON back as plain maps, lists and numbers with all their digits.
func asJSON(value any) any {
	text, err := json.Marshal(value)
	if err != nil {
		panic(fmt.Sprintf("a value of our own has no JSON: %v", err))
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber()
	var plain any
	if err := decoder.Decode(&plain); err != nil {
		panic(fmt.Sprintf("JSON of our own cannot be read: %v", err))
	}
	return plain
}
