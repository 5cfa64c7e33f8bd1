package main

import (
	"errors"
	"io"
	"log/slog"

	"zonule/annotate"
)

// newLog writes one line per entry to w, as JSON or as text.
func newLog(w io.Writer, config Config) *slog.Logger {
	options := &slog.HandlerOptions{Level: config.LogLevel}
	if config.Log == "json" {
		return slog.New(slog.NewJSONHandler(w, options))
	}
	return slog.New(slog.NewTextHandler(w, options))
}

// forPerson gives the sentence that a person can act on. Whoever types commands here owns the database, so
// that other errors are shown as they are.
func forPerson(err error) string {
	var refusal *annotate.Error
	if errors.As(err, &refusal) {
		text := refusal.Message
		for _, field := range refusal.Fields {
			text += "\n  " + field.Field + ": " + field.Message
		}
		return text
	}
	return err.Error()
}
