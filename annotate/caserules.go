package annotate

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// Techniques lists the techniques in the order in which they are offered.
var Techniques = []Technique{TechniquePhaco, TechniqueMSICS, TechniqueECCE}

// operatorRoles lists what a person may do in a case.
var operatorRoles = []OperatorRole{OperatorLead, OperatorSupervisor, OperatorAssistant}

// daysAhead bounds how far ahead an operation may be registered.
const daysAhead = 366

// normalise fills in what a form may leave out, so that equal cases are equal.
func (c *Case) normalise() {
	c.Pseudonym = strings.TrimSpace(c.Pseudonym)
	if c.Operation.TechniquePerformed == "" {
		c.Operation.TechniquePerformed = c.Operation.TechniquePlanned
	}
	if c.Operators == nil {
		c.Operators = []Operator{}
	}
	if c.SharedWith == nil {
		c.SharedWith = []string{}
	}
	c.Before.Exam = normalisedExam(c.Before.Exam)
	if fellow := c.Before.FellowEye; fellow != nil {
		copied := *fellow
		copied.Exam = normalisedExam(fellow.Exam)
		c.Before.FellowEye = &copied
	}
}

// validate checks everything that can be checked without the store.
func (c Case) validate(today string) error {
	p := c.check(today)
	return p.err("The case")
}

// check is validate with what is merely doubtful.
func (c Case) check(today string) problems {
	var p problems
	p.id("id", c.ID)
	p.text("pseudonym", c.Pseudonym, 1, 60)
	if strings.ContainsAny(c.Pseudonym, "\r\n\t\u2028\u2029") {
		p.add("pseudonym", "must be one line")
	}
	oneOf(&p, "eye", c.Eye, true, RightEye, LeftEye)
	if p.date("date", c.Date, true) && c.Date > addDays(today, daysAhead) {
		p.add("date", "lies more than a year ahead; check the year")
	}
	c.Before.validate(&p, c.Date)
	c.Operation.validate(&p)
	c.validateOperators(&p)
	c.LostToFollowUp.validate(&p, c.Date, today)
	c.Consent.validate(&p, today)
	return p
}

func (c Case) validateOperators(p *problems) {
	leads := 0
	named := map[string]bool{}
	for i, o := range c.Operators {
		field := fmt.Sprintf("operators[%d].", i)
		oneOf(p, field+"role", o.Role, true, operatorRoles...)
		oneOf(p, field+"grade", o.Grade, false, Grades...)
		if named[o.UserID] {
			p.add(field+"userId", "is named twice")
		}
		named[o.UserID] = true
		if o.Role == OperatorLead {
			leads++
		}
	}
	if leads != 1 {
		p.add("operators", "must name exactly one person with the role operator")
	}
	if len(c.Operators) > 20 {
		p.add("operators", "has %d people; at most 20 are possible", len(c.Operators))
	}
	for i, id := range c.SharedWith {
		field := fmt.Sprintf("sharedWith[%d]", i)
		if named[id] {
			p.add(field, "is named already")
		}
		named[id] = true
	}
	if len(c.SharedWith) > 100 {
		p.add("sharedWith", "has %d people; at most 100 are possible", len(c.SharedWith))
	}
}

// lead gives the id of the person who operated, "" when the case names none.
func (c Case) lead() string {
	at := slices.IndexFunc(c.Operators, func(o Operator) bool { return o.Role == OperatorLead })
	if at < 0 {
		return ""
	}
	return c.Operators[at].UserID
}

func (c Case) operates(userID string) bool {
	return slices.ContainsFunc(c.Operators, func(o Operator) bool { return o.UserID == userID })
}

// SortKey puts texts into the order in which people count, so that "SALT-9" comes before "SALT-10": lower case, and
// each run of digits led by its length. Compare the keys byte by byte.
func SortKey(text string) []byte {
	var key bytes.Buffer
	rest := strings.ToLower(text)
	for rest != "" {
		digits := strings.TrimLeft(digitsAtStart(rest), "0")
		if digits == "" && digitsAtStart(rest) == "" {
			end := strings.IndexFunc(rest, isDigit)
			if end < 0 {
				end = len(rest)
			}
			key.WriteString(rest[:end])
			rest = rest[end:]
			continue
		}
		rest = rest[len(digitsAtStart(rest)):]
		key.WriteByte('0')
		key.WriteByte(byte(min(len(digits), 255)))
		key.WriteString(digits)
	}
	return key.Bytes()
}

func isDigit(r rune) bool { return '0' <= r && r <= '9' }

func digitsAtStart(text string) string {
	return text[:len(text)-len(strings.TrimLeftFunc(text, isDigit))]
}
