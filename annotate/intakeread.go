package annotate

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// named is what a row says about one visit, or about the eye before the operation: the case it names and the cells that hold something.
type named struct {
	pseudonym string
	eye       Eye
	operated  string // "" when the row does not say
	date      string
	window    Window // "" when the row does not say
	before    bool   // it says that it is about the eye before the operation
	cells     map[string]string
}

// unread is a cell that cannot be read; the message is the end of a sentence that begins with the field.
type unread struct{ field, message string }

// Error is the message.
func (u *unread) Error() string { return u.field + " " + u.message }

// readRow reads what names the visit; the quantities are read by fill.
func (m IntakeMatching) readRow(cells []string) (named, *unread) {
	row := named{cells: map[string]string{}}
	for i, field := range m.Fields {
		if field != "" && i < len(cells) && cells[i] != "" {
			row.cells[field] = cells[i]
		}
	}
	for _, field := range IntakeFields {
		if field.Required && row.cells[field.Code] == "" {
			return row, &unread{field.Code, "is empty"}
		}
	}
	row.pseudonym = row.cells["pseudonym"]
	var fault error
	if row.eye, fault = readEye(row.cells["eye"]); fault != nil {
		return row, &unread{"eye", fault.Error()}
	}
	for field, to := range map[string]*string{"date": &row.date, "operated": &row.operated} {
		if text := row.cells[field]; text != "" {
			if *to, fault = readDate(text, m.Dates); fault != nil {
				return row, &unread{field, fault.Error()}
			}
		}
	}
	if text := row.cells["window"]; beforeWords[spoken(text)] {
		row.before = true
	} else if text != "" {
		if row.window, fault = readWindow(text); fault != nil {
			return row, &unread{"window", fault.Error()}
		}
	}
	return row, nil
}

var (
	plainNumber  = regexp.MustCompile(`^[+-]?\d+(\.\d+)?([eE][+-]?\d{1,3})?$`)
	grouped      = map[string]*regexp.Regexp{".": regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(\.\d{3})+(,\d+)?$`), ",": regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(,\d{3})+(\.\d+)?$`)}
	eitherNumber = regexp.MustCompile(`^[+-]?[1-9]\d{0,2}[.,]\d{3}$`)
)

// readNumber reads a number with its decimal mark: "comma", "point", or "", which refuses what has two meanings, such
// as 2,345.
func readNumber(text, decimals string) (float64, error) {
	trimmed := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%"))
	trimmed = strings.NewReplacer("\u00a0", "", "\u202f", "", "\u2212", "-").Replace(trimmed)
	if decimals == "" {
		if eitherNumber.MatchString(trimmed) {
			return 0, fmt.Errorf("%q can be read in two ways; say which mark stands before the decimals", text)
		}
		decimals = "point"
		if comma, point := strings.LastIndex(trimmed, ","), strings.LastIndex(trimmed, "."); comma > point && strings.Count(trimmed, ",") == 1 {
			decimals = "comma"
		} else if strings.Count(trimmed, ".") > 1 {
			decimals = "comma"
		}
	}
	group, mark := ",", "."
	if decimals == "comma" {
		group, mark = ".", ","
	}
	if grouped[group].MatchString(trimmed) {
		trimmed = strings.ReplaceAll(trimmed, group, "")
	}
	if decimals == "comma" && strings.Contains(trimmed, ".") {
		return 0, fmt.Errorf("%q is not a number with a decimal comma", text)
	}
	trimmed = strings.Replace(trimmed, mark, ".", 1)
	value, err := strconv.ParseFloat(trimmed, 64)
	if err != nil || !plainNumber.MatchString(trimmed) {
		return 0, fmt.Errorf("%q is not a number", text)
	}
	return value, nil
}

var threeParts = regexp.MustCompile(`^(\d{1,4})[./\- ](\d{1,2})[./\- ](\d{1,4})$`)

// readDate reads YYYY-MM-DD, also with / or . and with a time of the day behind, or the order that was said:
// "day-first", "month-first", or "", which refuses what has two meanings. Years have four digits.
func readDate(text, order string) (string, error) {
	day := strings.TrimSpace(text)
	for _, form := range []string{"2006-01-02T15:04:05Z07:00", "2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02 15:04"} {
		if at, err := time.Parse(form, day); err == nil {
			return at.Format(time.DateOnly), nil
		}
	}
	parts := threeParts.FindStringSubmatch(day)
	wrong := fmt.Errorf("%q is not a date that can be read; write it as YYYY-MM-DD", text)
	if parts == nil {
		return "", wrong
	}
	first, second, third := parts[1], parts[2], parts[3]
	if len(first) == 4 && len(third) <= 2 {
		return dateOf(first, second, third, wrong)
	}
	if len(third) != 4 || len(first) > 2 {
		return "", wrong
	}
	dayFirst, dayFault := dateOf(third, second, first, wrong)
	monthFirst, monthFault := dateOf(third, first, second, wrong)
	switch {
	case order == "day-first":
		return dayFirst, dayFault
	case order == "month-first":
		return monthFirst, monthFault
	case dayFault == nil && monthFault == nil && dayFirst != monthFirst:
		return "", fmt.Errorf("%q can be read in two ways; say whether the day or the month comes first", text)
	case dayFault == nil:
		return dayFirst, nil
	}
	return monthFirst, monthFault
}

func dateOf(year, month, day string, wrong error) (string, error) {
	at, err := time.Parse("2006-1-2", year+"-"+strings.TrimLeft(month, "0")+"-"+strings.TrimLeft(day, "0"))
	if err != nil {
		return "", wrong
	}
	return at.Format(time.DateOnly), nil
}

var eyeWords = map[string]Eye{
	"od": RightEye, "r": RightEye, "re": RightEye, "right": RightEye, "righteye": RightEye, "rechts": RightEye, "ra": RightEye, "droit": RightEye, "derecho": RightEye,
	"os": LeftEye, "l": LeftEye, "le": LeftEye, "left": LeftEye, "lefteye": LeftEye, "links": LeftEye, "la": LeftEye, "gauche": LeftEye, "izquierdo": LeftEye,
}

func readEye(text string) (Eye, error) {
	if eye, known := eyeWords[spoken(text)]; known {
		return eye, nil
	}
	return "", fmt.Errorf("%q is not an eye; write OD or OS, right or left", text)
}

var windowWords = map[string]Window{
	"day1": WindowDay1, "d1": WindowDay1, "1d": WindowDay1, "1day": WindowDay1, "tag1": WindowDay1, "1tag": WindowDay1,
	"week1": WindowWeek1, "w1": WindowWeek1, "1w": WindowWeek1, "1week": WindowWeek1, "1woche": WindowWeek1, "woche1": WindowWeek1,
	"month1": WindowMonth1, "m1": WindowMonth1, "1m": WindowMonth1, "1month": WindowMonth1, "1monat": WindowMonth1, "monat1": WindowMonth1, "4weeks": WindowMonth1, "4w": WindowMonth1,
	"month3": WindowMonth3, "m3": WindowMonth3, "3m": WindowMonth3, "3months": WindowMonth3, "3monate": WindowMonth3, "monat3": WindowMonth3, "12weeks": WindowMonth3,
	"year1": WindowYear1, "y1": WindowYear1, "1y": WindowYear1, "1year": WindowYear1, "1jahr": WindowYear1, "jahr1": WindowYear1, "12months": WindowYear1, "12m": WindowYear1, "m12": WindowYear1,
	"other": WindowOther, "andere": WindowOther, "autre": WindowOther, "otra": WindowOther,
}

// beforeWords stand where a visit is named and mean the eye before the operation.
var beforeWords = map[string]bool{
	"before": true, "baseline": true, "preop": true, "preoperative": true, "praop": true, "praoperativ": true, "vorher": true,
	"preoperatoire": true, "preoperatorio": true, "avant": true, "antes": true,
}

func readWindow(text string) (Window, error) {
	if window, known := windowWords[spoken(text)]; known {
		return window, nil
	}
	return "", fmt.Errorf("%q is not a visit that is known; write before, day-1, week-1, month-1, month-3, year-1 or other", text)
}
