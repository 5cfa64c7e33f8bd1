package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
)

// What the program tells the shell.
const (
	exitOK        = 0
	exitFailed    = 1
	exitUsage     = 2
	exitDifferent = 3
)

// errDifferent is returned by verify when what is stored does not follow from the journal.
var errDifferent = errors.New("verify found a difference")

// program is one run of one command.
type program struct {
	config Config
	stdin  io.Reader
	stdout io.Writer
	log    *slog.Logger
}

// Run is the whole program: args without the program's name, env as "NAME=value" lines. It returns the
// exit code: 0 done, 1 failed, 2 wrongly called, 3 verify found a difference.
func Run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer, env []string) int {
	config, err := ParseConfig(args, env)
	var help *helpAsked
	switch {
	case errors.As(err, &help):
		fmt.Fprint(stdout, help.text)
		return exitOK
	case err != nil:
		fmt.Fprintf(stderr, "zonule: %v\n", err)
		fmt.Fprintln(stderr, "Ask 'zonule --help', or 'zonule COMMAND --help', for what it takes.")
		return exitUsage
	}
	p := &program{config: config, stdin: stdin, stdout: stdout, log: newLog(stderr, config)}
	for _, name := range unknownSettings(env) {
		p.log.Warn("the environment holds a setting that Zonule does not know", "name", name)
	}
	switch err := commandNamed(config.Command).run(p, ctx); {
	case err == nil:
		return exitOK
	case errors.Is(err, errDifferent):
		return exitDifferent
	default:
		fmt.Fprintf(stderr, "zonule %s: %s\n", config.Command, forPerson(err))
		p.log.Debug("the cause", "error", err)
		return exitFailed
	}
}
