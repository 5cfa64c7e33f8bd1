package annotate

// StepListRef names one version of a step list.
type StepListRef struct {
	ID      string `json:"id"`
	Version int    `json:"version"`
}

// Stage is a part of the operation that groups steps.
type Stage struct {
	Code string `json:"code"`
	Name string `json:"name"`
}

// Step is one step of a step list.
type Step struct {
	Code  string `json:"code"`
	Name  string `json:"name"`
	Stage string `json:"stage"`
	// Key is the letter that starts the step on the tagging page.
	Key string `json:"key"`
	// Exclusive steps run one at a time; the others may run beside them.
	Exclusive bool `json:"exclusive"`
	Required  bool `json:"required"`
	// Begins and Ends say in words what marks the start and the end.
	Begins string `json:"begins"`
	Ends   string `json:"ends"`
}

// EventKind is something that happens at an instant.
type EventKind struct {
	Code string `json:"code"`
	Name string `json:"name"`
	// Key is the digit that records the event on the tagging page.
	Key string `json:"key"`
}

// EventConversion is the kind of event at which one technique gives way to another.
const EventConversion = "conversion"

// StepList is one version of the list of the steps of an operation. A version never changes once stored.
type StepList struct {
	ID         string      `json:"id"`
	Version    int         `json:"version"`
	Name       string      `json:"name"`
	Technique  Technique   `json:"technique"`
	Shipped    bool        `json:"shipped"`
	Stages     []Stage     `json:"stages"`
	Steps      []Step      `json:"steps"` // in usual order
	EventKinds []EventKind `json:"eventKinds"`
	CreatedAt  int64       `json:"createdAt"`
}
