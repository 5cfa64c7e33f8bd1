package annotate

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// findings are the places that the cells of a row go to, by field. Refraction and exam are copies of what stands.
type findings struct {
	texts      map[string]*string
	numbers    map[string]**float64
	wholes     map[string]**int
	refraction Refraction
	exam       EndothelialExam
}

// findingsAt gives the places of a visit.
func findingsAt(v *Visit) *findings {
	f := examined(v.Refraction, v.Exam)
	f.texts["acuity"], f.texts["uncorrectedAcuity"] = &v.Acuity, &v.UncorrectedAcuity
	f.texts["medication"], f.texts["note"] = &v.Medication, &v.Note
	f.numbers["pressure"] = &v.Pressure
	f.wholes["oedemaGrade"], f.wholes["thickness"] = &v.OedemaGrade, &v.Thickness
	return f
}

// findingsBefore gives the places of the eye before the operation, which has none for some of a visit's.
func findingsBefore(b *EyeBefore) *findings {
	f := examined(b.Refraction, b.Exam)
	f.texts["acuity"], f.texts["uncorrectedAcuity"] = &b.Acuity, &b.UncorrectedAcuity
	f.numbers["pressure"] = &b.Pressure
	f.wholes["thickness"] = &b.Thickness
	return f
}

// placeless are the fields of a visit that the eye before has no place for.
var placeless = []string{"oedemaGrade", "medication", "note"}

func examined(refraction *Refraction, exam *EndothelialExam) *findings {
	f := &findings{}
	if refraction != nil {
		f.refraction = *refraction
	}
	if exam != nil {
		f.exam = *exam
	}
	r, e := &f.refraction, &f.exam
	f.texts = map[string]*string{"exam.instrument": &e.Instrument, "exam.method": &e.Method}
	f.numbers = map[string]**float64{
		"refraction.sphere": &r.Sphere, "refraction.cylinder": &r.Cylinder, "refraction.axis": &r.Axis,
		"exam.cv": &e.CV, "exam.hexagonality": &e.Hexagonality,
	}
	f.wholes = map[string]**int{"exam.cells": &e.Cells, "exam.images": &e.Images}
	return f
}

// fill puts the cells of a row into their places. An empty cell says nothing and leaves what is there. It gives the
// refraction and the exam as the row leaves them.
func (m IntakeMatching) fill(row named, to *findings, refraction *Refraction, exam *EndothelialExam) (*Refraction, *EndothelialExam, *unread) {
	if fault := m.fillImages(row, &to.exam); fault != nil {
		return nil, nil, fault
	}
	for _, field := range IntakeFields {
		if row.cells[field.Code] == "" {
			continue
		}
		if fault := m.fillOne(row, field.Code, to); fault != nil {
			return nil, nil, fault
		}
		switch {
		case strings.HasPrefix(field.Code, "refraction."):
			refraction = &to.refraction
		case strings.HasPrefix(field.Code, "exam."):
			exam = &to.exam
		}
	}
	return refraction, normalisedExam(exam), nil
}

func (m IntakeMatching) fillOne(row named, field string, to *findings) *unread {
	text := row.cells[field]
	if place := to.texts[field]; place != nil {
		*place = text
		return nil
	}
	if place := to.numbers[field]; place != nil {
		value, fault := m.number(field, text)
		*place = &value
		return fault
	}
	if place := to.wholes[field]; place != nil {
		value, fault := m.whole(field, text)
		*place = &value
		return fault
	}
	var fault *unread
	switch field {
	case "exam.density":
		to.exam.Density, fault = m.number(field, text)
	case "exam.date":
		date, err := readDate(text, m.Dates)
		if err != nil {
			return &unread{field, err.Error()}
		}
		to.exam.Date = date
	}
	return fault
}

// fillImages takes the images that a row lists in place of those that stand; what the row does not say of the whole exam
// is then pooled from them anew.
func (m IntakeMatching) fillImages(row named, exam *EndothelialExam) *unread {
	var images []ImageCount
	for i := range intakeImages {
		density, cells, cv := row.cells[imageField(i, "density")], row.cells[imageField(i, "cells")], row.cells[imageField(i, "cv")]
		if density == "" && cells == "" && cv == "" {
			continue
		}
		if density == "" || cells == "" {
			return &unread{imageField(i, "density"), "needs the density and the number of cells; the two stand together"}
		}
		var image ImageCount
		var fault *unread
		if image.Density, fault = m.number(imageField(i, "density"), density); fault != nil {
			return fault
		}
		if image.Cells, fault = m.whole(imageField(i, "cells"), cells); fault != nil {
			return fault
		}
		if cv != "" {
			value, fault := m.number(imageField(i, "cv"), cv)
			if fault != nil {
				return fault
			}
			image.CV = &value
		}
		images = append(images, image)
	}
	if len(images) > 0 {
		exam.Density, exam.Cells, exam.CV, exam.Images, exam.ImageCounts = 0, nil, nil, nil, images
	}
	return nil
}

func (m IntakeMatching) number(field, text string) (float64, *unread) {
	value, err := readNumber(text, m.Decimals)
	if err != nil {
		return 0, &unread{field, err.Error()}
	}
	return value, nil
}

func (m IntakeMatching) whole(field, text string) (int, *unread) {
	value, fault := m.number(field, text)
	if fault == nil && (value != math.Trunc(value) || math.Abs(value) >= 1e9) {
		fault = &unread{field, "must be a whole number"}
	}
	return int(value), fault
}

// Days by which a visit may come early and still be the planned one: a quarter of the wait, at least a day and at most eight weeks. After
// the day on which it is late it is another visit. Common practice; the plan itself is the unit's.
const (
	earlyShare = 4
	earlyMost  = 56
)

// windowOn gives the planned visit that a date belongs to, the one whose day is nearest; WindowOther when it is none.
func windowOn(plans []WindowPlan, operated, date string) Window {
	window, nearest := WindowOther, 0
	days := daysAfter(operated, date)
	for _, plan := range plans {
		// The evening of the operation counts as the first day after it.
		first := plan.DueDays - max(1, min(plan.DueDays/earlyShare, earlyMost))
		if days < first || days > plan.LateDays {
			continue
		}
		if away := max(days-plan.DueDays, plan.DueDays-days); window == WindowOther || away < nearest {
			window, nearest = plan.Window, away
		}
	}
	return window
}

// daysAfter counts the days from one date to another; -1 when either is none.
func daysAfter(from, to string) int {
	a, errA := time.Parse(time.DateOnly, from)
	z, errZ := time.Parse(time.DateOnly, to)
	if errA != nil || errZ != nil {
		return -1
	}
	return int(z.Sub(a).Hours() / 24)
}

// unplaced tells which cells of a row the eye before the operation has no place for; "" when none.
func (row named) unplaced() string {
	var left []string
	for _, field := range placeless {
		if row.cells[field] != "" {
			left = append(left, fieldWords[field])
		}
	}
	if len(left) == 0 {
		return ""
	}
	return fmt.Sprintf("not kept, because the eye before has no place for it: %s", strings.Join(left, ", "))
}

var fieldWords = map[string]string{"oedemaGrade": "oedema grade", "medication": "medication", "note": "note"}
