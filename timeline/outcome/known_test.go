package outcome

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestWhatIsKnownIsWhatIsModelled counts, and compares with the cases that a study of the same can use.
func TestWhatIsKnownIsWhatIsModelled(t *testing.T) {
	rows := planted{seed: 11, cases: 60, operators: 4, ruptureLogit: -1.5}.rows()
	rows[0].After, rows[1].Stages, rows[2].Before.Age, rows[3].Operation.CDE = nil, nil, nil, nil
	rows[4].Operation.MachineFamily = "another"
	require.Equal(t, 59, Outcome{Kind: Loss, Window: "month-3"}.KnownIn(rows))
	require.Zero(t, Outcome{Kind: Loss, Window: "day-1"}.KnownIn(rows))
	require.Equal(t, 59, Exposure{Kind: StageTime, Code: "nucleus"}.KnownIn(rows))
	require.Equal(t, 58, Exposure{Kind: Dissipated}.KnownIn(rows), "of one family of machines")
	require.Equal(t, 59, FactorKnownIn(rows, "age"))
	require.Zero(t, FactorKnownIn(rows, "luck"))

	d := nucleusLoss()
	d.Exposures, d.Adjust, d.Population.WithRuptures = append(d.Exposures, Exposure{Kind: Dissipated}), []string{"age"}, true
	require.Equal(t, 55, Study(rows, d).N)

	happened := 0
	for i := range rows {
		if rows[i].CapsuleRupture {
			happened++
		}
	}
	require.Equal(t, happened, Outcome{Kind: Complication, Complication: "capsule-rupture"}.KnownIn(rows))
	require.Positive(t, happened)
	require.Equal(t, Measure{"stage:nucleus", "time in the nucleus stage", "min"}, Exposure{Kind: StageTime, Code: "nucleus"}.Named(nil))
}

// TestEveryScaleOffered is one that a definition takes, and no other is.
func TestEveryScaleOffered(t *testing.T) {
	for _, rule := range exposureRules {
		kind := rule.kind
		offered := Exposure{Kind: rule.kind}.Scales()
		for _, scale := range []Scale{PerUnit, PerDoubling} {
			d := nucleusLoss()
			d.Exposures = []Exposure{{Kind: kind, Code: "code", Scale: scale}}
			taken := len(d.Check()) == 0
			found := false
			for _, one := range offered {
				found = found || one == scale
			}
			require.Equal(t, taken, found, "%s %s", kind, scale)
		}
	}
}
