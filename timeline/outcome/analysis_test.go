package outcome

import (
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline/cohort"
	"zonule/timeline/stat"
)

// column gives the cells of a column of an analysis table by its code.
func (a Analysis) column(t *testing.T, code string) []string {
	t.Helper()
	for at, c := range a.Columns {
		if c.Code == code {
			cells := make([]string, len(a.Rows))
			for i, row := range a.Rows {
				cells[i] = row[at]
			}
			return cells
		}
	}
	require.Fail(t, "no column "+code)
	return nil
}

func TestAnalysisTableHoldsThePopulation(t *testing.T) {
	rows := planted{seed: 12, cases: 300, operators: 7, perMinute: 0.01, counting: true}.rows()
	for i := range 40 {
		rows[i].After = nil
	}
	for i := range 5 {
		rows[100+i].CapsuleRupture = true
	}
	d := nucleusLoss()
	r := Study(rows, d)
	a := Table(rows, d, nil)
	require.Len(t, a.Rows, r.Population)
	modelled, reasons := 0, map[string]int{}
	for i, is := range a.column(t, "modelled") {
		why := a.column(t, "reason")[i]
		require.Equal(t, is == "yes", why == "")
		if is == "yes" {
			modelled++
		} else {
			reasons[why]++
		}
	}
	require.Equal(t, r.N, modelled)
	for _, f := range r.FellOut {
		require.Equal(t, f.Cases, reasons[f.Reason])
	}
	lines := a.Strings()
	require.Len(t, lines, 301)
	require.Equal(t, []string{"case", "operator", "year of operation", "modelled", "why not", "loss of endothelial cells at month 3 (%)"}, lines[0][:6])
	require.Contains(t, lines[0], "time in the nucleus stage (min)")
	require.Contains(t, lines[0], "nuclear grade")
	require.NotContains(t, lines[0], "medium pupil", "what does not vary is not in the model, and not in its table")
	for i, row := range a.Rows {
		require.Len(t, row, len(a.Columns))
		require.Equal(t, strconv.Itoa(i+1), row[0])
	}
}

// TestAnalysisTableGivesTheFigureAgain fits the unweighted line from the text of the table alone.
func TestAnalysisTableGivesTheFigureAgain(t *testing.T) {
	rows := planted{seed: 12, cases: 300, operators: 4, perMinute: 0.01}.rows()
	for i := range rows {
		rows[i].Before.Count.Cells = nil
	}
	d := nucleusLoss()
	r := Study(rows, d)
	a := Table(rows, d, nil)
	numbers := func(code string) []float64 {
		var values []float64
		for _, text := range a.column(t, code) {
			v, err := strconv.ParseFloat(text, 64)
			require.NoError(t, err)
			values = append(values, v)
		}
		return values
	}
	for _, text := range a.column(t, "countingError") {
		require.Empty(t, text)
	}
	design := stat.NewDesign(300)
	require.NoError(t, design.Add("time", numbers("stage:nucleus")))
	for _, c := range r.AdjustedFor {
		require.NoError(t, design.Add(c.Code, numbers(c.Code)))
	}
	m, err := stat.LeastSquares(design, numbers("logRatio"), nil, level)
	require.NoError(t, err)
	require.InEpsilon(t, r.Relations[0].Adjusted.Value, 100*-math.Expm1(-m.Coefficients[1].Estimate), 1e-9)
	for i, loss := range numbers("loss") {
		require.InDelta(t, 100*-math.Expm1(-numbers("logRatio")[i]), loss, 1e-9)
	}
}

// TestAnalysisTableNamesNobody: no id, operator or date is in the table, the order of its rows does not follow that of the
// operations, and the order in which the rows come does not matter.
func TestAnalysisTableNamesNobody(t *testing.T) {
	rows := planted{seed: 12, cases: 1200, operators: 7, perMinute: 0.01, counting: true}.rows()
	for i := range rows {
		rows[i].Supervisor, rows[i].Assistants = "person-"+strconv.Itoa(i), []string{"helper-" + strconv.Itoa(i)}
	}
	d := nucleusLoss()
	a := Table(rows, d, nil)
	day := regexp.MustCompile(`\d{4}-\d{2}|\d{8}`)
	for _, line := range a.Strings() {
		for _, text := range line {
			require.NotRegexp(t, `case-\d|operator-\d|person-|helper-`, text)
			if !strings.Contains(text, ".") {
				require.NotRegexp(t, day, text)
			}
		}
	}

	// The times part the cases, so that each row can be found again: its place says nothing of its date, nor does the number of
	// its operator.
	place := map[string]int{}
	for i, text := range a.column(t, "stage:nucleus") {
		place[text] = i
	}
	var places, when []float64
	for i, row := range rows {
		at, known := place[strconv.FormatFloat(float64(*row.Stages[0].Total)/minute, 'f', -1, 64)]
		require.True(t, known)
		places, when = append(places, float64(at)), append(when, float64(i))
	}
	rho, err := stat.Spearman(places, when, level)
	require.NoError(t, err)
	require.Less(t, math.Abs(rho.Rho.Value), 3/math.Sqrt(1200))

	turned := append([]cohort.Row{}, rows...)
	rand.New(rand.NewPCG(3, 3)).Shuffle(len(turned), func(i, j int) { turned[i], turned[j] = turned[j], turned[i] })
	require.Equal(t, a, Table(turned, d, nil))
	// Other ids and other dates of the same years give the same table: nothing of them is in it.
	for i := range turned {
		turned[i].CaseID, turned[i].Date = "other-"+strconv.Itoa(i), turned[i].Date[:4]+"-06-15"
	}
	require.Equal(t, a, Table(turned, d, nil))
}

func TestAnalysisTableOfNothing(t *testing.T) {
	a := Table(planted{seed: 1, cases: 30, operators: 3}.rows(), Definition{}, nil)
	require.Empty(t, a.Columns)
	require.Empty(t, a.Rows)
	require.Len(t, Table(nil, nucleusLoss(), nil).Strings(), 1)
}

// TestNobodyIsWorkedOut: with fewer people behind the cases than are asked for, nothing is told of them.
func TestNobodyIsWorkedOut(t *testing.T) {
	rows := planted{seed: 1, cases: 300, operators: 3}.rows()
	for i := range 30 {
		rows[i].After = nil
		rows[40+i].Operator = "" // who is not named is not one more
	}
	ask := func(rows []cohort.Row, fewest int) Result {
		r, err := StudyContext(t.Context(), rows, nucleusLoss(), Options{Operators: fewest})
		require.NoError(t, err)
		return r
	}
	requireNothing := func(r Result, why string) {
		require.Equal(t, why, r.Why)
		require.True(t, r.Withheld)
		require.Empty(t, r.Relations)
		require.Empty(t, r.Differences)
		require.Nil(t, r.Summary)
		require.Zero(t, r.Events)
	}
	r := ask(rows, 4)
	requireNothing(r, "3 people led the cases chosen. Under 4 nothing is told, so that nobody's own figures can be worked out.")
	require.Equal(t, 300, r.Population)
	require.Zero(t, r.N)
	require.Empty(t, r.FellOut)
	fourth := slices.Clone(rows)
	for i := range 30 {
		fourth[i].Operator = "operator-04"
	}
	r = ask(fourth, 4)
	requireNothing(r, "3 people led the cases of which everything is known. Under 4 nothing is told, so that nobody's own figures can be worked out.")
	require.Equal(t, 270, r.N)
	r = ask(rows, 3)
	require.Empty(t, r.Why)
	require.False(t, r.Withheld)
	require.Len(t, r.Relations, 1)
	require.NotEmpty(t, r.Differences)

	// A third person with hardly any case hides nobody: the first subtracts their own and is left with the second's.
	two := slices.Clone(rows)
	third := 0
	for i := range two {
		if two[i].Operator == "operator-02" {
			if third++; third > 4 {
				two[i].Operator = "operator-01"
			}
		}
	}
	requireNothing(ask(two, 3), "Two people led nearly all of the cases chosen. Where the others led under 5 nothing is told, so that nobody's own figures can be worked out.")

	// Nor is a part of the cases told of that too few led, nor those who fell out.
	for i := range rows {
		if *rows[i].Before.NuclearGrade == 3 || i < 30 {
			rows[i].Operator = "operator-00"
		}
	}
	r = ask(rows, 3)
	require.Empty(t, r.Why)
	require.Empty(t, r.Differences)
	whole, parts := 0, map[string]string{}
	for _, s := range r.Relations[0].Sensitivity {
		parts[s.Name] = s.Why
		if s.Size != nil {
			whole++
		}
	}
	require.Greater(t, whole, 2)
	require.Equal(t, "One person led these cases. Under 3 nothing is told, so that nobody's own figures can be worked out.", parts["within nuclear grade 3"])
	require.Empty(t, parts["within nuclear grade 1 to 2"])
}

func TestWordsOfTheUnit(t *testing.T) {
	rows := planted{seed: 1, cases: 100, operators: 6, ruptureLogit: -1}.rows()
	names := func(kind NameKind, code string) string {
		return map[string]string{"step:cortex": "Cortex and polish", "stage:nucleus": "lens matter", "event:fragment-contact": "fragment touching", "window:month-3": "three months"}[string(kind)+":"+code]
	}
	d := nucleusLoss()
	d.Exposures = append(d.Exposures, Exposure{Kind: StepTime, Code: "cortex", Scale: PerDoubling}, Exposure{Kind: Events, Code: "fragment-contact"})
	r, err := StudyContext(t.Context(), rows, d, Options{Names: names})
	require.NoError(t, err)
	require.Equal(t, "loss of endothelial cells at three months", r.Outcome.Name)
	require.Contains(t, r.Relations[0].Text, "time in the lens matter stage")
	require.Contains(t, r.Answer[1], "time in the step Cortex and polish")
	require.Contains(t, r.Answer[2], "fragment touching")
	require.Contains(t, Table(rows, d, names).Strings()[0], "time in the step Cortex and polish (min)")
	rows[0].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}}
	require.Contains(t, CaseLevel(refer(rows), &rows[0], names).Complications[0].Text, "Posterior capsule rupture during the step Cortex and polish")
}
