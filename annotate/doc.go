// Package annotate holds what people record about an operation (cases, recordings, readings, comments,
// outcomes, review reports) and what may be done to it by whom.
package annotate
