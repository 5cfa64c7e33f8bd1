package outcome

import "strings"

// Rules is the version of the rules by which a study is answered. It changes whenever the same definition on the same rows
// would give another figure or another sentence.
const Rules = "2"

// Options are what a study is answered with beside its definition.
type Options struct {
	// Operators is the least number of people who must have led the cases that are modelled, so that nobody is worked out;
	// 0 asks for none.
	Operators int
	// Names gives the words for codes; nil: the codes' own.
	Names Names
	// Progress is told how many of the exposures are done; nil: nobody is.
	Progress func(done, of int)
}

// Names gives the name by which a unit knows a code, as it is to stand in a sentence; "" where it has none, and the words
// of the code are taken.
type Names func(kind NameKind, code string) string

// NameKind says what a code is of.
type NameKind string

const (
	StepName         NameKind = "step"
	StageName        NameKind = "stage"
	EventName        NameKind = "event"
	ComplicationName NameKind = "complication"
	WindowName       NameKind = "window"
)

func (n Names) of(kind NameKind, code string) string {
	if n != nil {
		if name := n(kind, code); name != "" {
			return name
		}
	}
	return strings.ReplaceAll(code, "-", " ")
}
