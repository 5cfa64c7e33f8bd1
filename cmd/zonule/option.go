package main

import (
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"zonule/annotate"
)

// option is one setting: a flag and, for lasting ones, a name in the environment.
type option struct {
	name        string
	env         string
	placeholder string // what the value stands for in the help; "" is a switch
	fallback    string
	help        string
	set         func(*Config, string) error
}

var options = []option{
	{name: "database", env: "ZONULE_DATABASE", placeholder: "ADDRESS", fallback: "sqlite:zonule.db", help: "sqlite:FILE, or postgres://USER@HOST/NAME?sslmode=verify-full", set: setDatabase},
	{name: "listen", env: "ZONULE_LISTEN", placeholder: "HOST:PORT", fallback: "127.0.0.1:8080", help: "where to listen; port 0 takes a free one", set: setListen},
	{name: "address", env: "ZONULE_ADDRESS", placeholder: "URL", help: "how people reach the server, such as https://zonule.example.org, for the links of reports; without it the address of each request is taken", set: setAddress},
	{name: "media-roots", env: "ZONULE_MEDIA_ROOTS", placeholder: "NAME=DIR,...", help: "folders that hold recordings; nothing outside them is ever read", set: setMediaRoots},
	{name: "log", env: "ZONULE_LOG", placeholder: "text|json", fallback: "text", help: "form of the log, which goes to standard error", set: setLog},
	{name: "log-level", env: "ZONULE_LOG_LEVEL", placeholder: "LEVEL", fallback: "info", help: "debug, info, warn or error", set: setLogLevel},
	{name: "secure-cookies", env: "ZONULE_SECURE_COOKIES", help: "send the session cookie over https only; on unless --listen is a loopback address", set: setSecureCookies},
	{name: "trusted-origins", env: "ZONULE_TRUSTED_ORIGINS", placeholder: "ORIGIN,...", help: "further origins whose pages may change things, such as https://theatre.example.org", set: setOrigins},
	{name: "trusted-proxies", env: "ZONULE_TRUSTED_PROXIES", placeholder: "ADDRESS,...", help: "proxies whose X-Forwarded-For is believed", set: setProxies},
	{name: "private-recordings", env: "ZONULE_PRIVATE_RECORDINGS", fallback: "false", help: "let https recordings lie on this machine or on a private network", set: setSwitch(func(c *Config) *bool { return &c.PrivateRecordings })},

	{name: "case", placeholder: "ID", help: "the case", set: setText(func(c *Config) *string { return &c.CaseID })},
	{name: "format", placeholder: "pdf|html|json|csv", fallback: "pdf", help: "form of the report", set: setChoice(func(c *Config) *string { return &c.Format }, "pdf", "html", "json", "csv")},
	{name: "in", placeholder: "FILE", fallback: "-", help: "file to read; - is standard input", set: setText(func(c *Config) *string { return &c.In })},
	{name: "out", placeholder: "FILE", fallback: "-", help: "file to write; - is standard output", set: setText(func(c *Config) *string { return &c.Out })},

	{name: "login", placeholder: "LOGIN", help: "the name the person signs in with", set: setText(func(c *Config) *string { return &c.Login })},
	{name: "name", placeholder: "NAME", help: "the person's name as colleagues see it", set: setText(func(c *Config) *string { return &c.Name })},
	{name: "roles", placeholder: "ROLE,...", help: "from: " + roleWords(), set: setRoles},
	{name: "grade", placeholder: "GRADE", help: "from: " + gradeWords(), set: setGrade},

	{name: "dir", placeholder: "DIR", fallback: "demo", help: "folder of the demo unit; made when it is not there, used again when it is", set: setText(func(c *Config) *string { return &c.Dir })},
	{name: "cases", placeholder: "N", fallback: "240", help: "how many cases to invent", set: setCases},
	{name: "seed", placeholder: "N", fallback: "1", help: "another number invents another unit", set: setSeed},
	{name: "remake-films", placeholder: "DIR", help: "draw the demo films anew into DIR and stop; needs ffmpeg", set: setText(func(c *Config) *string { return &c.RemakeFilms })},
	{name: "open-to-others", fallback: "false", help: "allow an address that other machines reach, although the demo password is public", set: setSwitch(func(c *Config) *bool { return &c.OpenToOthers })},
}

func optionNamed(name string) option {
	for _, o := range options {
		if o.name == name {
			return o
		}
	}
	panic("no option is named " + name)
}

func setText(field func(*Config) *string) func(*Config, string) error {
	return func(c *Config, text string) error {
		*field(c) = text
		return nil
	}
}

func setChoice(field func(*Config) *string, choices ...string) func(*Config, string) error {
	return func(c *Config, text string) error {
		for _, choice := range choices {
			if text == choice {
				*field(c) = text
				return nil
			}
		}
		return fmt.Errorf("%q is not one of %s", text, strings.Join(choices, ", "))
	}
}

func setSwitch(field func(*Config) *bool) func(*Config, string) error {
	return func(c *Config, text string) error {
		on, err := strconv.ParseBool(text)
		if err != nil {
			return fmt.Errorf("%q is neither true nor false", text)
		}
		*field(c) = on
		return nil
	}
}

func setSecureCookies(c *Config, text string) error {
	c.SecureCookies = nil
	if text == "" {
		return nil
	}
	var said bool
	c.SecureCookies = &said
	return setSwitch(func(*Config) *bool { return &said })(c, text)
}

func setDatabase(c *Config, text string) error {
	file, isFile := strings.CutPrefix(text, "sqlite:")
	switch {
	case isFile && file == "":
		return errors.New("sqlite: needs the name of a file, such as sqlite:zonule.db")
	case isFile, strings.HasPrefix(text, "postgres://"), strings.HasPrefix(text, "postgresql://"):
		c.Database = text
		return nil
	}
	// The text is not repeated: it may hold a password.
	return errors.New("the database address begins neither with sqlite: nor with postgres://")
}

func setListen(c *Config, text string) error {
	_, port, err := net.SplitHostPort(text)
	if err != nil {
		return fmt.Errorf("%q is not host:port", text)
	}
	if n, err := strconv.Atoi(port); err != nil || n < 0 || n > 65535 {
		return fmt.Errorf("%q is not a port, 0 to 65535", port)
	}
	c.Listen = text
	return nil
}

// rootName is what a reference to a recording can name.
var rootName = regexp.MustCompile(`^[a-z0-9-]{1,40}$`)

func setMediaRoots(c *Config, text string) error {
	c.MediaRoots = map[string]string{}
	for _, item := range list(text) {
		name, dir, ok := strings.Cut(item, "=")
		switch {
		case !ok || name == "" || dir == "":
			return fmt.Errorf("%q is not name=folder", item)
		case !rootName.MatchString(name):
			return fmt.Errorf("%q: the name of a media root is made of lower-case letters, digits and hyphens", name)
		case c.MediaRoots[name] != "":
			return fmt.Errorf("two media roots are named %q", name)
		}
		c.MediaRoots[name] = dir
	}
	return nil
}

func setLog(c *Config, text string) error {
	return setChoice(func(c *Config) *string { return &c.Log }, "text", "json")(c, text)
}

func setLogLevel(c *Config, text string) error {
	levels := map[string]slog.Level{"debug": slog.LevelDebug, "info": slog.LevelInfo, "warn": slog.LevelWarn, "error": slog.LevelError}
	level, ok := levels[text]
	if !ok {
		return fmt.Errorf("%q is not one of debug, info, warn, error", text)
	}
	c.LogLevel = level
	return nil
}

func setAddress(c *Config, text string) error {
	if text != "" && !isOrigin(text) {
		return fmt.Errorf("%q is not an address such as https://zonule.example.org, without a path", text)
	}
	c.Address = text
	return nil
}

// isOrigin reports whether the text is scheme and host alone.
func isOrigin(text string) bool {
	u, err := url.Parse(text)
	return err == nil && (u.Scheme == "https" || u.Scheme == "http") && u.Host != "" && u.Path == "" && u.RawQuery == "" && u.User == nil
}

func setOrigins(c *Config, text string) error {
	c.TrustedOrigins = nil
	for _, item := range list(text) {
		if !isOrigin(item) {
			return fmt.Errorf("%q is not an origin; write it like https://theatre.example.org", item)
		}
		c.TrustedOrigins = append(c.TrustedOrigins, item)
	}
	return nil
}

func setProxies(c *Config, text string) error {
	c.TrustedProxies = nil
	for _, item := range list(text) {
		_, _, err := net.ParseCIDR(item)
		if net.ParseIP(item) == nil && err != nil {
			return fmt.Errorf("%q is neither an address nor a network such as 10.0.0.0/8", item)
		}
		c.TrustedProxies = append(c.TrustedProxies, item)
	}
	return nil
}

func setRoles(c *Config, text string) error {
	c.Roles = nil
	for _, item := range list(text) {
		if !slices.Contains(annotate.Roles, annotate.Role(item)) {
			return fmt.Errorf("%q is not one of %s", item, roleWords())
		}
		c.Roles = append(c.Roles, annotate.Role(item))
	}
	return nil
}

func setGrade(c *Config, text string) error {
	if text != "" && !slices.Contains(annotate.Grades, annotate.Grade(text)) {
		return fmt.Errorf("%q is not one of %s", text, gradeWords())
	}
	c.Grade = annotate.Grade(text)
	return nil
}

func setCases(c *Config, text string) error {
	n, err := strconv.Atoi(text)
	if err != nil || n < 4 || n > 100_000 {
		return fmt.Errorf("%q is not a number of cases, 4 to 100000", text)
	}
	c.Cases = n
	return nil
}

func setSeed(c *Config, text string) error {
	n, err := strconv.ParseUint(text, 10, 64)
	if err != nil {
		return fmt.Errorf("%q is not a whole number from 0 on", text)
	}
	c.Seed = n
	return nil
}

// list splits at commas and drops what is empty.
func list(text string) []string {
	var items []string
	for item := range strings.SplitSeq(text, ",") {
		if item = strings.TrimSpace(item); item != "" {
			items = append(items, item)
		}
	}
	return items
}

func roleWords() string { return words(annotate.Roles) }

func gradeWords() string { return words(annotate.Grades) }

func words[T ~string](items []T) string {
	var texts []string
	for _, item := range items {
		texts = append(texts, string(item))
	}
	return strings.Join(texts, ", ")
}
