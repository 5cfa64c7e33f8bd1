package annotate

import (
	"errors"
	"fmt"
)

// Code names a kind of refusal. The door (package server) maps each to one HTTP status.
type Code string

const (
	// CodeInvalid: the input breaks a rule; Fields says where.
	CodeInvalid Code = "invalid"
	// CodeNotFound: it does not exist, or is not the caller's to see. The two look alike on purpose.
	CodeNotFound Code = "not-found"
	// CodeForbidden: the caller may see it but not do this to it.
	CodeForbidden Code = "forbidden"
	// CodeSignedOut: nobody is signed in.
	CodeSignedOut Code = "signed-out"
	// CodeStale: it was changed since the caller read it; Yours and Theirs hold both versions.
	CodeStale Code = "stale"
	// CodeTaken: a name that must be unique is in use.
	CodeTaken Code = "taken"
	// CodeTooManyTries: sign-in is paused for this account or address.
	CodeTooManyTries Code = "too-many-tries"
	// CodeMedia: the recording cannot be read, or lies outside the allowed roots.
	CodeMedia Code = "media"
	// CodeSigned: a signed report cannot be changed.
	CodeSigned Code = "signed"
	// CodeUnavailable: a part of the service is not there now; trying again may help.
	CodeUnavailable Code = "unavailable"
)

// Codes lists every code, so that a test can prove that each is mapped.
var Codes = []Code{CodeInvalid, CodeNotFound, CodeForbidden, CodeSignedOut, CodeStale, CodeTaken, CodeTooManyTries, CodeMedia, CodeSigned, CodeUnavailable}

// FieldError says what is wrong with one field and what to do about it.
type FieldError struct {
	// Field is the JSON path, such as "edits[0].changes[1].marker.end".
	Field string `json:"field"`
	// Message says what is wrong and what would be right, as it reads after the field's name.
	Message string `json:"message"`
}

// Error is the one error type that leaves this package on purpose. Message is safe to show; cause is only logged.
type Error struct {
	Code    Code
	Message string
	Fields  []FieldError
	// Yours and Theirs are set for CodeStale: what the caller sent and what is stored now.
	Yours, Theirs any
	// RetryAfterSeconds is set for CodeTooManyTries.
	RetryAfterSeconds int
	cause             error
}

// Error is for logs; people are shown Message.
func (e *Error) Error() string {
	text := string(e.Code) + ": " + e.Message
	for _, f := range e.Fields {
		text += fmt.Sprintf(" [%s: %s]", f.Field, f.Message)
	}
	if e.cause != nil {
		text += ": " + e.cause.Error()
	}
	return text
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.cause }

// CodeOf returns the code of err, or "" when err is not one of ours.
func CodeOf(err error) Code {
	var e *Error
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}

// Refuse builds an Error with a message for a person.
func Refuse(code Code, format string, args ...any) *Error {
	return &Error{Code: code, Message: fmt.Sprintf(format, args...)}
}

// Because attaches the cause, which is logged and never shown.
func (e *Error) Because(cause error) *Error {
	e.cause = cause
	return e
}

// problems collects what is wrong and what is doubtful while input is checked. A doubt refuses nothing.
type problems struct{ fields, doubts []FieldError }

func (p *problems) add(field, format string, args ...any) {
	p.fields = append(p.fields, FieldError{Field: field, Message: fmt.Sprintf(format, args...)})
}

// doubt tells of something that is possible and unlikely.
func (p *problems) doubt(field, format string, args ...any) {
	p.doubts = append(p.doubts, FieldError{Field: field, Message: fmt.Sprintf(format, args...)})
}

func (p *problems) err(what string) error {
	if len(p.fields) == 0 {
		return nil
	}
	first := p.fields[0]
	return &Error{Code: CodeInvalid, Message: what + " was not saved: " + first.Field + " " + first.Message + ".", Fields: p.fields}
}
