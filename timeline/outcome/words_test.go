package outcome

import (
	"encoding/json"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline/cohort"
)

// causal are words that say more than an association can.
var causal = regexp.MustCompile(`(?i)\b(caus\w*|because|due to|leads? to|results? in|effects?|impacts?|prevents?|protects?|responsible|harms?|improves?|worsens?|increases?|reduces?|risk factor of|drives? the)\b`)

// everyText gathers the strings of a JSON value, but for the codes and ids in keys.
func everyText(value any, into *[]string) {
	switch v := value.(type) {
	case string:
		*into = append(*into, v)
	case []any:
		for _, one := range v {
			everyText(one, into)
		}
	case map[string]any:
		for _, one := range v {
			everyText(one, into)
		}
	}
}

// requireNoCausalWords reads every text of an answer.
func requireNoCausalWords(t *testing.T, answer any) {
	t.Helper()
	text, err := json.Marshal(answer)
	require.NoError(t, err)
	var value any
	require.NoError(t, json.Unmarshal(text, &value))
	var found []string
	everyText(value, &found)
	require.NotEmpty(t, found)
	for _, one := range found {
		require.NotRegexp(t, causal, one)
	}
}

// seenAgain gives each case of a unit a day after with oedema, thickness and acuity.
func seenAgain(rows []cohort.Row) []cohort.Row {
	chance := rand.New(rand.NewPCG(8, 8))
	for i := range rows {
		grade, before, after, dull, sharp := chance.IntN(4), 500+chance.IntN(80), 520+chance.IntN(120), 0.3+chance.Float64(), chance.Float64()/2
		rows[i].Before.Thickness, rows[i].Before.LogMAR = &before, &dull
		rows[i].After = append([]cohort.Seen{{Window: "day-1", Days: 1, OedemaGrade: &grade, Thickness: &after, LogMAR: &sharp}}, rows[i].After...)
	}
	return rows
}

func TestNoCausalWords(t *testing.T) {
	require.Regexp(t, causal, "Long steps increase the loss.")
	exposures := []Exposure{{Kind: StageTime, Code: "nucleus"}, {Kind: Dissipated, Scale: PerDoubling}, {Kind: StepTime, Code: "cortex"}, {Kind: Contacts}, {Kind: OperationTime}}
	outcomes := []Outcome{
		{Kind: Complication, Complication: cohort.CapsuleRupture}, {Kind: Loss, Window: "month-3"},
		{Kind: Oedema, Window: "day-1"}, {Kind: Thickness, Window: "day-1"}, {Kind: AcuityGain, Window: "day-1"},
	}
	driven := seenAgain(planted{seed: 8, cases: 120, operators: 15}.rows())
	for i := range driven[:2] {
		long := int64(11 * minute)
		driven[i].Stages[0].Total, driven[i].Before.Count.Instrument, driven[i].After[1].Count.Instrument = &long, "quay", "harbour"
		driven[i].After[1].Count.Density, driven[i].CompareInstruments = 0.5*driven[i].Before.Count.Density, true
	}
	for _, rows := range [][]cohort.Row{
		seenAgain(planted{seed: 1, cases: 400, operators: 10, perMinute: 0.01, counting: true, oddsPerMinute: 0.2, ruptureLogit: -2}.rows()),
		seenAgain(planted{seed: 2, cases: 60, operators: 3, ruptureLogit: -1}.rows()),
		planted{seed: 3, cases: 12, operators: 2}.rows(),
		driven,
	} {
		for _, o := range outcomes {
			requireNoCausalWords(t, Study(rows, Definition{Outcome: o, Exposures: exposures}))
		}
		rows[0].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}}
		requireNoCausalWords(t, CaseLevel(refer(rows), &rows[0], nil))
	}
	requireNoCausalWords(t, Covariates())
	requireNoCausalWords(t, []any{Definition{}.Check(), Definition{Outcome: Outcome{Kind: Loss}, Exposures: []Exposure{{Kind: Contacts, Scale: PerDoubling}, {Kind: StepTime}}, Adjust: []string{"weather"}}.Check()})
}

// TestTheOtherWayRound: that a hard nucleus may stand behind both is told where it applies, with the figures of the cases, and
// only there.
func TestTheOtherWayRound(t *testing.T) {
	rows := planted{seed: 1, cases: 300, operators: 10, perMinute: 0.01}.rows()
	of := func(exposure Exposure, change func(*Definition)) string {
		d := nucleusLoss()
		d.Exposures = []Exposure{exposure}
		if change != nil {
			change(&d)
		}
		r := Study(rows, d)
		require.Empty(t, r.Why)
		require.Contains(t, r.CannotSay[0], "do not tell what would have come of an eye with a shorter time or less energy")
		return strings.Join(r.CannotSay, " ")
	}
	const told = "may only mark the hard nuclei"
	text := of(Exposure{Kind: StageTime, Code: "nucleus"}, nil)
	require.Contains(t, text, told)
	require.Regexp(t, `it goes with the grade \(rank correlation 0\.\d\d\)`, text)
	require.Contains(t, text, "The grade is allowed for")
	text = of(Exposure{Kind: Dissipated}, func(d *Definition) { d.Adjust = []string{"age"} })
	require.Contains(t, text, told)
	require.Contains(t, text, "The grade is not allowed for here.")
	require.NotContains(t, of(Exposure{Kind: StepTime, Code: "cortex"}, nil), told, "a step that is not near the nucleus")
	require.NotContains(t, of(Exposure{Kind: Contacts}, nil), told, "in these cases contacts do not go with the grade")
	require.Contains(t, text, "What the record does not hold is not allowed for")

	// Where a complication happened, what followed it is part of the time.
	rupture := Study(planted{seed: 4, cases: 600, operators: 12, oddsPerMinute: 0.2, ruptureLogit: -2}.rows(), nucleusRupture())
	require.Contains(t, strings.Join(rupture.Notes, " "), "A complication also makes an operation longer: time after it is part of the time counted here.")
}
