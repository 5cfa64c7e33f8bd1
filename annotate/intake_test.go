package annotate

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestIntakeNumbers(t *testing.T) {
	for _, c := range []struct {
		text, decimals string
		value          float64
		words          string
	}{
		{"17", "", 17, ""},
		{"17.5", "", 17.5, ""},
		{"17,5", "", 17.5, ""},
		{"-0,25", "", -0.25, ""},
		{"0,545", "", 0.545, ""},
		{"0.545", "", 0.545, ""},
		{"33 %", "", 33, ""},
		{"2,345", "", 0, "two ways"},
		{"2.345", "", 0, "two ways"},
		{"2,345", "comma", 2.345, ""},
		{"2,345", "point", 2345, ""},
		{"2.345", "comma", 2345, ""},
		{"2.345", "point", 2.345, ""},
		{"2.345,5", "", 2345.5, ""},
		{"2,345.5", "", 2345.5, ""},
		{"1.234.567", "", 1234567, ""},
		{"12.5", "comma", 0, "decimal comma"},
		{"12,5", "point", 12.5, "not a number"},
		{"1,2,3", "", 0, "not a number"},
		{"12 mmHg", "", 0, "not a number"},
		{"0x10", "", 0, "not a number"},
		{"NaN", "", 0, "not a number"},
		{"Inf", "", 0, "not a number"},
		{"1_000", "", 0, "not a number"},
		{"1e3", "", 1000, ""},
		{"", "", 0, "not a number"},
	} {
		value, err := readNumber(c.text, c.decimals)
		if c.words != "" {
			require.ErrorContains(t, err, c.words, c.text)
			continue
		}
		require.NoError(t, err, c.text)
		require.InDelta(t, c.value, value, 1e-12, c.text)
	}
}

func TestIntakeDates(t *testing.T) {
	for _, c := range []struct{ text, order, date, words string }{
		{"2026-05-04", "", "2026-05-04", ""},
		{"2026/5/4", "", "2026-05-04", ""},
		{"2026-05-04T10:20:30", "", "2026-05-04", ""},
		{"2026-05-04 10:20", "", "2026-05-04", ""},
		{"24.05.2026", "", "2026-05-24", ""},
		{"05/24/2026", "", "2026-05-24", ""},
		{"05.05.2026", "", "2026-05-05", ""},
		{"04.05.2026", "", "", "two ways"},
		{"04.05.2026", "day-first", "2026-05-04", ""},
		{"04/05/2026", "month-first", "2026-04-05", ""},
		{"24/05/2026", "month-first", "", "not a date"},
		{"29.02.2026", "day-first", "", "not a date"},
		{"29.02.2024", "day-first", "2024-02-29", ""},
		{"4.5.26", "day-first", "", "not a date"},
		{"46146", "", "", "not a date"},
		{"yesterday", "", "", "not a date"},
	} {
		date, err := readDate(c.text, c.order)
		if c.words != "" {
			require.ErrorContains(t, err, c.words, c.text)
			continue
		}
		require.NoError(t, err, c.text)
		require.Equal(t, c.date, date, c.text)
	}
}

func TestIntakeColumnsAreMatchedByName(t *testing.T) {
	m := matchColumns([]string{"Case ID", "Seite", "Datum", "IOP (mmHg)", "ECD (cells/mm²)", "Œdème", "Visus", "Visual acuity", "favourite colour", ""}, "csv")
	require.Equal(t, []string{"pseudonym", "eye", "date", "pressure", "exam.density", "oedemaGrade", "acuity", "", "", ""}, m.Fields)
	require.True(t, m.complete())
	require.Empty(t, m.Decimals)
	deep := matchColumns([]string{"UCVA", "Sph (D)", "Zyl", "Achse", "Tropfen", "ECD 1", "Cells 1", "CV 1", "Image 2 density", "cd5"}, "csv")
	require.Equal(t, []string{
		"uncorrectedAcuity", "refraction.sphere", "refraction.cylinder", "refraction.axis", "medication", "exam.imageCounts[0].density",
		"exam.imageCounts[0].cells", "exam.imageCounts[0].cv", "exam.imageCounts[1].density", "exam.imageCounts[4].density",
	}, deep.Fields)
	require.False(t, matchColumns([]string{"case", "date"}, "csv").complete())
	require.Equal(t, "point", matchColumns([]string{"case"}, "xlsx").Decimals)
	again := m.named([]string{"a", "b", "c", "d", "e", "f", "g", "h", "i", "j"}).of([]string{"j", "C", "b", "A"})
	require.Equal(t, []string{"", "date", "eye", "pseudonym"}, again.Fields)

	seen := map[string]string{}
	for _, field := range IntakeFields {
		for name := range strings.SplitSeq(field.names, "|") {
			require.Equal(t, spoken(name), name, "is written as spoken gives it")
			require.Empty(t, seen[name], "%s is in %s too", name, field.Code)
			seen[name] = field.Code
		}
	}
}

func TestIntakeMatchingIsChecked(t *testing.T) {
	good := IntakeMatching{Fields: []string{"pseudonym", "eye", "date", ""}}
	require.NoError(t, good.validate(4))
	require.Error(t, good.validate(3))
	require.Error(t, IntakeMatching{Fields: []string{"date", "date"}}.validate(2))
	require.Error(t, IntakeMatching{Fields: []string{"name"}}.validate(1))
	require.Error(t, IntakeMatching{Fields: []string{}, Dates: "year-first"}.validate(0))
	require.Error(t, IntakeMatching{Fields: []string{}, Decimals: "none"}.validate(0))
}

func TestIntakeEyesAndWindows(t *testing.T) {
	for text, eye := range map[string]Eye{"OD": RightEye, "right eye": RightEye, "RA": RightEye, "os": LeftEye, "L.": LeftEye, "Links": LeftEye} {
		read, err := readEye(text)
		require.NoError(t, err)
		require.Equal(t, eye, read, text)
	}
	_, err := readEye("OU")
	require.Error(t, err)
	for text, window := range map[string]Window{"Day 1": WindowDay1, "1 month": WindowMonth1, "month-3": WindowMonth3, "12 m": WindowYear1, "other": WindowOther} {
		read, err := readWindow(text)
		require.NoError(t, err)
		require.Equal(t, window, read, text)
	}
	_, err = readWindow("some time")
	require.Error(t, err)
	read, fault := IntakeMatching{Fields: []string{"pseudonym", "eye", "date", "window"}}.readRow([]string{"C", "OD", "2026-01-01", "Pre-op"})
	require.Nil(t, fault)
	require.True(t, read.before)
	require.Empty(t, read.window)
	for date, window := range map[string]Window{
		"2026-01-01": WindowDay1, "2026-01-04": WindowDay1, "2026-01-05": WindowDay1, "2026-01-07": WindowWeek1, "2026-01-18": WindowOther, "2026-01-29": WindowMonth1,
		"2026-03-30": WindowMonth3, "2026-12-30": WindowYear1, "2028-01-01": WindowOther,
	} {
		require.Equal(t, window, windowOn(UsualWindows, "2026-01-01", date), date)
	}
	own := []WindowPlan{{WindowWeek1, 5, 10, true}}
	require.Equal(t, WindowWeek1, windowOn(own, "2026-01-01", "2026-01-05"))
	require.Equal(t, WindowOther, windowOn(own, "2026-01-01", "2026-01-02"), "the unit plans no first day")
}
