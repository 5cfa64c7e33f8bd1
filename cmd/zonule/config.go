package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"strings"

	"zonule/annotate"
)

// Config is everything that can be said to the program. Each command reads the fields of the options that it
// lists; the others keep their defaults.
type Config struct {
	// Command is the command's full name, such as "serve" or "user add".
	Command string

	// Database is "sqlite:FILE" or a "postgres://" address.
	Database string
	// Listen is host:port; port 0 takes a free one.
	Listen string
	// Address is how people reach the server; "" takes the address of each request.
	Address    string
	MediaRoots map[string]string // name to folder
	Log        string            // "text" or "json"
	LogLevel   slog.Level
	// SecureCookies is nil when nothing was said of them; see secure.
	SecureCookies  *bool
	TrustedOrigins []string
	TrustedProxies []string
	// PrivateRecordings lets https recordings lie on loopback and private addresses.
	PrivateRecordings bool

	// File is what a command takes after its name.
	File   string
	CaseID string
	Format string
	In     string // "-" is standard input
	Out    string // "-" is standard output

	Login string
	Name  string
	Roles []annotate.Role
	Grade annotate.Grade

	Dir          string
	Cases        int
	Seed         uint64
	RemakeFilms  string
	OpenToOthers bool
}

// loopback tells whether only this machine reaches the listening address.
func (c Config) loopback() bool {
	host, _, err := net.SplitHostPort(c.Listen)
	ip := net.ParseIP(host)
	return err == nil && (host == "localhost" || ip != nil && ip.IsLoopback())
}

// secure tells whether the session cookie is for https only. Beyond this machine it is, unless the unit says
// otherwise; the demo's password is public, so that its cookie has nothing to keep.
func (c Config) secure() bool {
	if c.SecureCookies != nil {
		return *c.SecureCookies
	}
	return c.Command != "demo" && !c.loopback()
}

// usageError is a wrong call; the shell sees exit code 2.
type usageError struct{ message string }

func (e *usageError) Error() string { return e.message }

func wrongly(format string, args ...any) error {
	return &usageError{fmt.Sprintf(format, args...)}
}

// helpAsked carries the text that was asked for.
type helpAsked struct{ text string }

func (h *helpAsked) Error() string { return "help was asked for" }

// ParseConfig reads the command line and the environment ("NAME=value" lines). A flag wins over the
// environment, which wins over the default. It returns *helpAsked or *usageError.
func ParseConfig(args, env []string) (Config, error) {
	var config Config
	c, rest, err := findCommand(args)
	if err != nil {
		return config, err
	}
	config.Command = c.name
	settings := environment(env)
	flags := flag.NewFlagSet(c.name, flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	var wrong error
	for _, name := range c.options {
		o := optionNamed(name)
		value, where := c.defaultOf(o), "the default"
		if set, ok := settings[o.env]; ok && o.env != "" && set != "" {
			value, where = set, o.env
		}
		if err := o.set(&config, value); err != nil {
			return config, wrongly("%s: %v", where, err)
		}
		// Package flag repeats the value in its own message, which may be a password.
		set := func(text string) error {
			if err := o.set(&config, text); err != nil {
				wrong = wrongly("--%s: %v", o.name, err)
			}
			return wrong
		}
		if o.placeholder == "" {
			flags.BoolFunc(o.name, "", set)
			continue
		}
		flags.Func(o.name, "", set)
	}
	if c.takes != "" && len(rest) > 0 && !strings.HasPrefix(rest[0], "-") {
		config.File, rest = rest[0], rest[1:]
	}
	switch err := flags.Parse(rest); {
	case wrong != nil:
		return config, wrong
	case errors.Is(err, flag.ErrHelp):
		return config, &helpAsked{commandHelp(c)}
	case err != nil:
		return config, wrongly("%s: %v", c.name, err)
	case c.takes != "" && config.File == "" && flags.NArg() == 1:
		config.File = flags.Arg(0)
	case c.takes != "" && config.File == "":
		return config, wrongly("%s: which %s?", c.name, strings.ToLower(c.takes))
	case flags.NArg() > 0:
		return config, wrongly("%s: %q is not understood; values follow a flag", c.name, flags.Arg(0))
	}
	if c.check != nil {
		err = c.check(config)
	}
	return config, err
}

// findCommand takes the command's words off args.
func findCommand(args []string) (command, []string, error) {
	if len(args) == 0 {
		return command{}, nil, wrongly("which command?\n\n%s", programHelp())
	}
	if isHelp(args[0]) {
		if c, ok := lookUp(args[1:]); ok {
			return c, nil, &helpAsked{commandHelp(c)}
		}
		return command{}, nil, &helpAsked{programHelp()}
	}
	if c, ok := lookUp(args); ok {
		return c, args[len(strings.Fields(c.name)):], nil
	}
	if members := family(args[0]); len(members) > 0 {
		if len(args) > 1 && isHelp(args[1]) {
			return command{}, nil, &helpAsked{familyHelp(args[0], members)}
		}
		return command{}, nil, wrongly("%s takes one of: %s", args[0], familyWords(members))
	}
	return command{}, nil, wrongly("there is no command %q", args[0])
}

func isHelp(word string) bool {
	return word == "help" || word == "--help" || word == "-help" || word == "-h"
}

// environment reads "NAME=value" lines into a map.
func environment(env []string) map[string]string {
	settings := make(map[string]string, len(env))
	for _, line := range env {
		if name, value, ok := strings.Cut(line, "="); ok {
			settings[name] = value
		}
	}
	return settings
}

// unknownSettings lists ZONULE_ names that no option reads: most likely a slip of the pen. They are told and not
// refused, because container platforms put names such as ZONULE_PORT into the environment by themselves.
func unknownSettings(env []string) []string {
	known := map[string]bool{}
	for _, o := range options {
		known[o.env] = true
	}
	var names []string
	for _, line := range env {
		name, _, _ := strings.Cut(line, "=")
		if strings.HasPrefix(name, "ZONULE_") && !known[name] {
			names = append(names, name)
		}
	}
	return names
}
