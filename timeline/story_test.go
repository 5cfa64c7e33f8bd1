package timeline

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// story is one file of testdata/timeline; the lines are explained in its README.
type story struct {
	title        string
	parts        []Part
	stages       []string
	lists        [2][]Step // the second after a conversion
	converted    bool
	marks        []Mark
	complication []Happening
	medians      map[string]int64
	expect       []expectation
}

// expectation is one "expect" line: its words without that one.
type expectation struct {
	line  int
	words []string
}

// readStory reads the whole text or says what is wrong with which line.
func readStory(text string) (story, error) {
	s := story{medians: map[string]int64{}}
	for number, line := range strings.Split(text, "\n") {
		line, _, _ = strings.Cut(line, "#")
		words := strings.Fields(line)
		if len(words) == 0 {
			continue
		}
		if err := s.read(number+1, words); err != nil {
			return story{}, fmt.Errorf("line %d: %w", number+1, err)
		}
	}
	if s.title == "" || len(s.expect) == 0 {
		return story{}, fmt.Errorf("a story needs a title and expectations")
	}
	return s, nil
}

func (s *story) read(line int, words []string) error {
	readers := map[string]func([]string) error{
		"part": s.readPart, "speed": s.readSpeed, "cut": s.readCut, "step": s.readStep,
		"median": s.readMedian, "mark": s.readMark, "complication": s.readComplication,
	}
	rest := words[1:]
	switch words[0] {
	case "story":
		s.title = strings.Join(rest, " ")
	case "stages":
		s.stages = rest
	case "conversion":
		s.converted = true
	case "expect":
		if len(rest) < 2 {
			return fmt.Errorf("nothing is expected")
		}
		s.expect = append(s.expect, expectation{line, rest})
	default:
		reader, ok := readers[words[0]]
		if !ok {
			return fmt.Errorf("%q is no kind of line", words[0])
		}
		return reader(rest)
	}
	return nil
}

// fixed takes words apart by a pattern such as "ID TIME [starts TIME] [edited]" given as literals and "_" for values.
func fixed(words []string, pattern string) ([]string, error) {
	want := strings.Fields(pattern)
	if len(words) != len(want) {
		return nil, fmt.Errorf("%q does not look like %q", strings.Join(words, " "), pattern)
	}
	var values []string
	for i, word := range words {
		if want[i] == "_" {
			values = append(values, word)
		} else if want[i] != word {
			return nil, fmt.Errorf("%q does not look like %q", strings.Join(words, " "), pattern)
		}
	}
	return values, nil
}

func (s *story) readPart(words []string) error {
	part := Part{RealTime: true}
	if last := len(words) - 1; last > 0 && words[last] == "edited" {
		part.RealTime, words = false, words[:last]
	}
	if len(words) == 4 {
		v, err := fixed(words, "_ _ starts _")
		if err != nil {
			return err
		}
		offset, err := readTime(v[2])
		if err != nil {
			return err
		}
		part.Offset, words = &offset, words[:2]
	}
	v, err := fixed(words, "_ _")
	if err != nil {
		return err
	}
	part.ID, part.Name = v[0], "Part "+v[0]
	part.Duration, err = readTime(v[1])
	s.parts = append(s.parts, part)
	return err
}

func (s *story) part(id string) (*Part, error) {
	for i := range s.parts {
		if s.parts[i].ID == id {
			return &s.parts[i], nil
		}
	}
	return nil, fmt.Errorf("there is no part %q", id)
}

func (s *story) readSpeed(words []string) error {
	v, err := fixed(words, "_ from _ to _ per-mille _")
	if err != nil {
		return err
	}
	part, err := s.part(v[0])
	if err != nil {
		return err
	}
	from, errFrom := readTime(v[1])
	to, errTo := readTime(v[2])
	rate, errRate := strconv.ParseInt(v[3], 10, 64)
	part.Rates = append(part.Rates, RateSpan{from, to, rate})
	return firstOf(errFrom, errTo, errRate)
}

func (s *story) readCut(words []string) error {
	at, err := readInstant(words)
	if err != nil {
		return err
	}
	part, err := s.part(at.Part)
	if err != nil {
		return err
	}
	part.Cuts = append(part.Cuts, at.Ms)
	return nil
}

func (s *story) readStep(words []string) error {
	if len(words) < 3 || len(words) > 4 || (len(words) == 4 && words[3] != "required") {
		return fmt.Errorf("a step needs code, stage, exclusive or beside, and perhaps required")
	}
	if words[2] != "exclusive" && words[2] != "beside" {
		return fmt.Errorf("%q is neither exclusive nor beside", words[2])
	}
	list := 0
	if s.converted {
		list = 1
	}
	s.lists[list] = append(s.lists[list], Step{words[0], words[0], words[1], words[2] == "exclusive", len(words) == 4})
	return nil
}

func (s *story) readMedian(words []string) error {
	v, err := fixed(words, "_ _")
	if err != nil {
		return err
	}
	s.medians[v[0]], err = readTime(v[1])
	return err
}

func (s *story) readMark(words []string) error {
	mark := Mark{}
	if n := len(words); n > 2 && words[n-2] == "by" {
		mark.Operator, words = words[n-1], words[:n-2]
	}
	if len(words) < 6 || words[4] != "to" {
		return fmt.Errorf("a mark needs id, step, part, time, to, and an end or open")
	}
	mark.ID, mark.Step = words[0], words[1]
	start, err := readInstant(words[2:4])
	if err != nil {
		return err
	}
	mark.Start = start
	if len(words) != 6 || words[5] != "open" {
		end, err := readInstant(words[5:])
		if err != nil {
			return err
		}
		mark.End = &end
	}
	s.marks = append(s.marks, mark)
	return nil
}

func (s *story) readComplication(words []string) error {
	if len(words) != 4 {
		return fmt.Errorf("a complication needs id, kind, part and time")
	}
	at, err := readInstant(words[2:])
	s.complication = append(s.complication, Happening{words[0], words[1], at})
	return err
}

func readInstant(words []string) (Instant, error) {
	v, err := fixed(words, "_ _")
	if err != nil {
		return Instant{}, err
	}
	ms, err := readTime(v[1])
	return Instant{v[0], ms}, err
}

var timeForm = regexp.MustCompile(`^(-?)(?:(\d{1,3}):)?(\d{1,3}):(\d\d)(?:\.(\d{3}))?$`)

// readTime reads m:ss or h:mm:ss, with .mmm if wanted, into ms.
func readTime(word string) (int64, error) {
	m := timeForm.FindStringSubmatch(word)
	if m == nil {
		return 0, fmt.Errorf("%q is not a time such as 1:05 or 1:02:05.250", word)
	}
	var ms int64
	for i, unit := range []int64{3_600_000, 60_000, 1000, 1} {
		if m[i+2] == "" {
			continue
		}
		value, err := strconv.ParseInt(m[i+2], 10, 64)
		if err != nil {
			return 0, err
		}
		ms += value * unit
	}
	if m[1] == "-" {
		ms = -ms
	}
	return ms, nil
}

func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// input turns the story into what Durations takes.
func (s story) input() (Input, error) {
	clock, err := NewClock(s.parts)
	steps := s.lists[0]
	if s.converted {
		steps = MergeSteps(s.lists[0], s.lists[1])
	}
	return Input{clock, s.stages, steps, s.marks, s.complication, s.medians}, err
}
