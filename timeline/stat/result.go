package stat

import (
	"fmt"
	"math"
)

// Interval is a confidence or prediction interval; Level is its nominal coverage (0.95 for 95 %).
type Interval struct {
	Lower float64 `json:"lower"`
	Upper float64 `json:"upper"`
	Level float64 `json:"level"`
}

// Estimate is one number with its uncertainty, in the unit of the input. SE and Interval are nil where they do not exist.
type Estimate struct {
	Value    float64   `json:"value"`
	SE       *float64  `json:"se"`
	Interval *Interval `json:"interval"`
	N        int       `json:"n"`
	// Notes tell what was left out and which assumption is doubtful, in full sentences.
	Notes []string `json:"notes,omitempty"`
}

// Test is the outcome of a significance test of N observations. P is two-sided.
type Test struct {
	Statistic float64  `json:"statistic"`
	DF        float64  `json:"df,omitempty"`
	P         float64  `json:"p"`
	N         int      `json:"n"`
	Notes     []string `json:"notes,omitempty"`
}

// Reason says why a method gives no result.
type Reason string

const (
	// TooFew: there are fewer observations than the method needs.
	TooFew Reason = "too-few"
	// Constant: the values do not vary, so the quantity is undefined.
	Constant Reason = "constant"
	// Separated: the outcome is predicted perfectly, so no finite estimate exists.
	Separated Reason = "separated"
	// RankDeficient: a term is a combination of the others.
	RankDeficient Reason = "rank-deficient"
	// NoConvergence: the iteration did not settle.
	NoConvergence Reason = "no-convergence"
	// Invalid: the input breaks a rule that the method states.
	Invalid Reason = "invalid"
)

// Degenerate is the only error of this package, beside that of a cancelled context: the reason for code, the message for people.
type Degenerate struct {
	Reason  Reason `json:"reason"`
	Message string `json:"message"`
}

func (d *Degenerate) Error() string { return d.Message }

func degenerate(reason Reason, format string, values ...any) *Degenerate {
	return &Degenerate{Reason: reason, Message: fmt.Sprintf(format, values...)}
}

func pointTo[T any](value T) *T { return &value }

// checkLevel refuses a confidence level outside (0, 1).
func checkLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return degenerate(Invalid, "The confidence level must lie between 0 and 1, not %g.", level)
	}
	return nil
}

// checkFinite refuses values that are not numbers or not finite.
func checkFinite(name string, values []float64) error {
	for i, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return degenerate(Invalid, "%s holds a value that is not a finite number (position %d).", name, i+1)
		}
	}
	return nil
}

// about is the symmetric interval centre ± half.
func about(centre, half, level float64) *Interval {
	return &Interval{Lower: centre - half, Upper: centre + half, Level: level}
}
