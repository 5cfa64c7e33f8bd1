package timeline

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Notation is a way to write visual acuity.
type Notation string

const (
	NotationAuto    Notation = ""        // only forms that can mean one thing
	NotationSnellen Notation = "snellen" // 6/9, 20/30
	NotationDecimal Notation = "decimal"
	NotationLogMAR  Notation = "logmar"
	NotationLetters Notation = "letters" // ETDRS, 0 to 100
)

// AcuityCategory is what was seen: letters, or less.
type AcuityCategory string

const (
	AcuityMeasured          AcuityCategory = "measured"
	AcuityCountingFingers   AcuityCategory = "CF"
	AcuityHandMovements     AcuityCategory = "HM"
	AcuityLightPerception   AcuityCategory = "LP"
	AcuityNoLightPerception AcuityCategory = "NLP"
)

// Acuity is a visual acuity as it was typed and what it means.
type Acuity struct {
	Typed    string         `json:"typed"`
	Category AcuityCategory `json:"category"`
	Notation Notation       `json:"notation"` // "" below the chart
	// Decimal and LogMAR are nil for light perception and none, which never become numbers.
	Decimal *float64 `json:"decimal"`
	LogMAR  *float64 `json:"logMAR"`
	// Extra are letters read beyond the line (or missed on it), as in 6/9+2; they do not change LogMAR.
	Extra int `json:"extra"`
	// Convention says which published value stands for a category; "" for a measured acuity.
	Convention string `json:"convention"`
}

// belowChart are the values by which a category stands where a number is unavoidable. Source: Lange C et al., Graefes
// 2009;247:137-42; found. (An earlier study has 1.85 and 2.30: Schulze-Bonsel K et al., IOVS 2006;47:1236-40; found.)
var belowChart = map[AcuityCategory]float64{AcuityCountingFingers: 1.98, AcuityHandMovements: 2.28}

const lange2009 = "Lange 2009"

// categoryWords are the ways in which clinics write the categories. Source: common practice.
var categoryWords = map[string]AcuityCategory{
	"cf": AcuityCountingFingers, "fc": AcuityCountingFingers, "counting fingers": AcuityCountingFingers,
	"count fingers": AcuityCountingFingers, "finger counting": AcuityCountingFingers,
	"hm": AcuityHandMovements, "hand movements": AcuityHandMovements, "hand movement": AcuityHandMovements,
	"hand motion": AcuityHandMovements, "hand motions": AcuityHandMovements,
	"lp": AcuityLightPerception, "pl": AcuityLightPerception, "light perception": AcuityLightPerception,
	"perception of light": AcuityLightPerception,
	"nlp":                 AcuityNoLightPerception, "npl": AcuityNoLightPerception, "no light perception": AcuityNoLightPerception,
	"no perception of light": AcuityNoLightPerception,
}

var (
	categoryForm = regexp.MustCompile(`^([a-z ]+?)(?: (?:at |@ ?)?[0-9.]+ ?(?:cm|m|ft|feet))?$`)
	snellenForm  = regexp.MustCompile(`^([0-9]+(?:\.[0-9]+)?) ?/ ?([0-9]+(?:\.[0-9]+)?) ?([+-] ?[1-5])?$`)
	numberForm   = regexp.MustCompile(`^(?:(logmar|decimal|dec) ?)?([+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))(?: ?(logmar|decimal|dec|letters|letter))?$`)
)

// Limits of what can be typed; beyond them lies a slip. Source: common practice.
const (
	bestDecimal  = 3.2
	worstDecimal = 0.001
	mostLetters  = 100
)

// ParseAcuity reads a typed acuity. With NotationAuto a bare number such as 0.3 is refused unless it is negative, since
// it may be decimal or logMAR. A decimal comma is read as a point. The error is a sentence for a person.
func ParseAcuity(text string, notation Notation) (Acuity, error) {
	plain := strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(text, ",", ".")), " "))
	plain = strings.ReplaceAll(plain, "\u2212", "-")
	acuity := Acuity{Typed: text, Category: AcuityMeasured}
	if m := categoryForm.FindStringSubmatch(plain); m != nil {
		if category, ok := categoryWords[m[1]]; ok {
			return belowTheChart(acuity, category), nil
		}
	}
	if m := snellenForm.FindStringSubmatch(plain); m != nil && (notation == NotationAuto || notation == NotationSnellen) {
		return snellen(acuity, m)
	}
	if m := numberForm.FindStringSubmatch(plain); m != nil && notation != NotationSnellen {
		return number(acuity, m, notation)
	}
	return Acuity{}, fmt.Errorf("%q is not an acuity; write 6/9, 20/30, logMAR 0.2, decimal 0.6, 75 letters, CF, HM, LP or NLP", text)
}

func belowTheChart(acuity Acuity, category AcuityCategory) Acuity {
	acuity.Category = category
	if value, ok := belowChart[category]; ok {
		acuity.LogMAR, acuity.Decimal, acuity.Convention = &value, pointTo(DecimalFromLogMAR(value)), lange2009
	}
	return acuity
}

func snellen(acuity Acuity, m []string) (Acuity, error) {
	distance, errDistance := strconv.ParseFloat(m[1], 64)
	size, errSize := strconv.ParseFloat(m[2], 64)
	if errDistance != nil || errSize != nil || distance <= 0 || size <= 0 {
		return Acuity{}, fmt.Errorf("%q is not a Snellen fraction", acuity.Typed)
	}
	if extra := strings.ReplaceAll(m[3], " ", ""); extra != "" {
		acuity.Extra = int(extra[1]-'0') * map[byte]int{'+': 1, '-': -1}[extra[0]]
	}
	return withDecimal(acuity, NotationSnellen, distance/size)
}

// number reads a bare or labelled number. A label wins over an automatic notation and must not contradict a given one.
func number(acuity Acuity, m []string, notation Notation) (Acuity, error) {
	labels := map[string]Notation{"logmar": NotationLogMAR, "decimal": NotationDecimal, "dec": NotationDecimal, "letters": NotationLetters, "letter": NotationLetters}
	value, err := strconv.ParseFloat(m[2], 64)
	if err != nil {
		return Acuity{}, fmt.Errorf("%q is not a number", acuity.Typed)
	}
	for _, label := range []string{m[1], m[3]} {
		named, ok := labels[label]
		if ok && notation != NotationAuto && notation != named {
			return Acuity{}, fmt.Errorf("%q is written as %s and entered as %s", acuity.Typed, named, notation)
		}
		if ok {
			notation = named
		}
	}
	switch {
	case notation == NotationDecimal:
		return withDecimal(acuity, notation, value)
	case notation == NotationLetters && value >= 0 && value <= mostLetters && value == math.Trunc(value):
		return withDecimal(acuity, notation, DecimalFromLogMAR(LogMARFromLetters(value)))
	case notation == NotationLetters:
		return Acuity{}, fmt.Errorf("%q is not a count of letters from 0 to %d", acuity.Typed, mostLetters)
	case notation == NotationLogMAR || value < 0:
		return withDecimal(acuity, NotationLogMAR, DecimalFromLogMAR(value))
	}
	return Acuity{}, fmt.Errorf("%q may be decimal or logMAR; write decimal %s or logMAR %s", acuity.Typed, m[2], m[2])
}

func withDecimal(acuity Acuity, notation Notation, decimal float64) (Acuity, error) {
	if !(decimal >= worstDecimal && decimal <= bestDecimal) {
		return Acuity{}, fmt.Errorf("%q is outside what an eye can see on a chart", acuity.Typed)
	}
	acuity.Notation, acuity.Decimal, acuity.LogMAR = notation, &decimal, pointTo(LogMAR(decimal))
	return acuity, nil
}

// LogMAR is -log10(decimal), where decimal is the Snellen fraction as a number. Source: arithmetic of the definition.
func LogMAR(decimal float64) float64 {
	if decimal == 1 {
		return 0 // and not -0
	}
	return -math.Log10(decimal)
}

// DecimalFromLogMAR is 10^-logMAR. Source: as LogMAR.
func DecimalFromLogMAR(logMAR float64) float64 { return math.Pow(10, -logMAR) }

// Letters is the ETDRS letter score of a logMAR: 85 - 50 logMAR. Source: from memory.
func Letters(logMAR float64) float64 { return 85 - 50*logMAR }

// LogMARFromLetters is the inverse of Letters. Source: from memory.
func LogMARFromLetters(letters float64) float64 { return (85 - letters) / 50 }
