package main

import (
	"context"
	"strings"
)

// command is one thing that the program does.
type command struct {
	name     string // one or two words
	line     string // one line for the list
	about    string // the rest of the help
	takes    string // what follows the name, such as FILE; "" for nothing
	options  []string
	own      map[string]string // defaults that differ from the option's
	examples []string
	check    func(Config) error
	run      func(*program, context.Context) error
}

// everywhere are the options of all commands that open the unit's database.
var everywhere = []string{"database", "log", "log-level"}

func with(names ...string) []string { return append(names, everywhere...) }

// commands is filled at start, because some commands print the help that lists them.
var commands []command

func init() {
	commands = []command{
		{
			name: "serve", line: "serve the unit to browsers",
			about: "Brings the database up to date, then serves until it is interrupted. The first run makes an\n" +
				"administrator and prints a one-time password, once, on standard output.",
			options: with("listen", "address", "media-roots", "secure-cookies", "trusted-origins", "trusted-proxies", "private-recordings"),
			examples: []string{
				"zonule serve --media-roots theatre=/srv/recordings",
				"zonule serve --database postgres://zonule@db.example.org/zonule?sslmode=verify-full --listen 0.0.0.0:8080 --secure-cookies",
			},
			run: (*program).serve,
		},
		{
			name: "demo", line: "make an invented unit and serve it on this machine",
			about: "Everything in the demo unit is invented: people, eyes, operations and films. Its password is\n" +
				"public, so that it listens on this machine only.",
			options: []string{"dir", "listen", "cases", "seed", "remake-films", "open-to-others", "log", "log-level"},
			own:     map[string]string{"log-level": "warn"},
			examples: []string{
				"zonule demo",
				"zonule demo --dir unit --listen 127.0.0.1:0 --cases 40",
				"zonule demo --remake-films annotate/demo/film/films",
			},
			check: checkDemo,
			run:   (*program).demo,
		},
		{
			name: "export", line: "write the whole unit, or one case, as a JSON bundle",
			about:   "Without --case the whole unit is written. Recordings are referred to and not copied.",
			options: with("case", "out"),
			examples: []string{
				"zonule export --out unit.json",
				"zonule export --case 0197c2a4-6f1e-7c3a-9d0b-5d2f8e1c4a77 --out case.json",
			},
			run: (*program).exportBundle,
		},
		{
			name: "import", line: "read a JSON bundle into the database",
			about:    "All of the bundle is taken or nothing.",
			options:  with("in"),
			examples: []string{"zonule import --in unit.json", "zonule import --database sqlite:copy.db < unit.json"},
			run:      (*program).importBundle,
		},
		{
			name: "report", line: "write the review report of one case",
			about:    "The report is a draft; signing is done on the page by a person who may.",
			options:  with("case", "format", "out"),
			examples: []string{"zonule report --case 0197c2a4-6f1e-7c3a-9d0b-5d2f8e1c4a77 --format pdf --out review.pdf"},
			check:    need("case"),
			run:      (*program).report,
		},
		{
			name: "verify", line: "check that what is stored follows from the journal",
			about: "Folds every journal anew and compares; checks case facts, the audit chain, signed reports and frozen studies.\n" +
				"Exit code 3 means that a difference was found.",
			options:  with(),
			examples: []string{"zonule verify", "zonule verify --database sqlite:backup.db"},
			run:      (*program).verify,
		},
		{
			name: "verify report", line: "tell whether a file is a report as it was signed",
			about: "Compares the file (PDF, JSON, HTML or CSV) with what the audit log kept when reports were signed, byte for byte.\n" +
				"No server need run. Exit code 3 means that the file is not what was signed.",
			takes:    "FILE",
			options:  with(),
			examples: []string{"zonule verify report review.pdf", "zonule verify report review.json --database sqlite:backup.db"},
			run:      (*program).verifyReport,
		},
		{
			name: "user list", line: "list the accounts", about: "",
			options: with(), examples: []string{"zonule user list"},
			run: (*program).userList,
		},
		{
			name: "user add", line: "add an account and print its one-time password", about: "",
			options:  with("login", "name", "roles", "grade"),
			examples: []string{"zonule user add --login nwu --name 'N. Wu' --roles surgeon,trainer --grade consultant"},
			check:    need("login", "name", "roles"),
			run:      (*program).userAdd,
		},
		{
			name: "user reset-password", line: "print a new one-time password for an account",
			about:    "Use it when an administrator is locked out: whoever can open the database can do this.",
			options:  with("login"),
			examples: []string{"zonule user reset-password --login admin"},
			check:    need("login"),
			run:      (*program).userResetPassword,
		},
		{
			name: "user roles", line: "replace the roles of an account", about: "",
			options:  with("login", "roles"),
			examples: []string{"zonule user roles --login nwu --roles surgeon,trainer,chair"},
			check:    need("login", "roles"),
			run:      (*program).userRoles,
		},
	}
}

func (c command) defaultOf(o option) string {
	if own, ok := c.own[o.name]; ok {
		return own
	}
	return o.fallback
}

// lookUp finds the command that args begin with, the longest name first.
func lookUp(args []string) (command, bool) {
	for _, words := range []int{2, 1} {
		if len(args) < words {
			continue
		}
		name := strings.Join(args[:words], " ")
		for _, c := range commands {
			if c.name == name {
				return c, true
			}
		}
	}
	return command{}, false
}

func commandNamed(name string) command {
	c, ok := lookUp(strings.Fields(name))
	if !ok {
		panic("no command is named " + name)
	}
	return c
}

// family lists the commands whose first word is name.
func family(name string) []command {
	var members []command
	for _, c := range commands {
		if strings.HasPrefix(c.name, name+" ") {
			members = append(members, c)
		}
	}
	return members
}

func familyWords(members []command) string {
	var words []string
	for _, c := range members {
		words = append(words, strings.Fields(c.name)[1])
	}
	return strings.Join(words, ", ")
}

// need refuses a call that leaves out one of the named options.
func need(names ...string) func(Config) error {
	return func(c Config) error {
		given := map[string]bool{"case": c.CaseID != "", "login": c.Login != "", "name": c.Name != "", "roles": len(c.Roles) > 0}
		for _, name := range names {
			if !given[name] {
				return wrongly("%s needs --%s", c.Command, name)
			}
		}
		return nil
	}
}
