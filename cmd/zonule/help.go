package main

import (
	"fmt"
	"strings"
)

// helpWidth is where help text is broken.
const helpWidth = 100

func programHelp() string {
	var b strings.Builder
	b.WriteString("Zonule turns recordings of cataract operations into structured review reports.\n\n" +
		"usage: zonule COMMAND [--flag value ...]\n\ncommands:\n")
	for _, c := range commands {
		fmt.Fprintf(&b, "  %-20s %s\n", c.name, c.line)
	}
	b.WriteString("\nzonule COMMAND --help tells what a command takes, with examples. A flag wins over the environment.\n" +
		"exit codes: 0 done, 1 failed, 2 wrongly called, 3 verify found a difference\n\n" +
		"Education and quality improvement only; not a medical device.\n")
	return b.String()
}

func familyHelp(name string, members []command) string {
	var b strings.Builder
	fmt.Fprintf(&b, "usage: zonule %s WORD [--flag value ...]\n\n", name)
	for _, c := range members {
		fmt.Fprintf(&b, "  %-20s %s\n", c.name, c.line)
	}
	return b.String()
}

func commandHelp(c command) string {
	var b strings.Builder
	fmt.Fprintf(&b, "zonule %s: %s\n\n", c.name, c.line)
	if c.about != "" {
		fmt.Fprintf(&b, "%s\n\n", c.about)
	}
	fmt.Fprintf(&b, "usage: zonule %s [--flag value ...]\n\nflags:\n", strings.TrimSpace(c.name+" "+c.takes))
	for _, name := range c.options {
		o := optionNamed(name)
		fmt.Fprintf(&b, "  --%s\n", strings.TrimSpace(o.name+" "+o.placeholder))
		text := o.help
		if value := c.defaultOf(o); value != "" && o.placeholder != "" {
			text += " (default " + value + ")"
		}
		if o.env != "" {
			text += " [" + o.env + "]"
		}
		for _, line := range broken(text, helpWidth-8) {
			fmt.Fprintf(&b, "        %s\n", line)
		}
	}
	b.WriteString("\nexamples:\n")
	for _, example := range c.examples {
		fmt.Fprintf(&b, "  %s\n", example)
	}
	return b.String()
}

// broken breaks text into lines of at most width characters, between words.
func broken(text string, width int) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(text) {
		if line != "" && len(line)+1+len(word) > width {
			lines = append(lines, line)
			line = ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	return append(lines, line)
}
