package outcome

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
	"zonule/timeline/cohort"
)

func TestPlantedLossIsFound(t *testing.T) {
	r := Study(planted{seed: 1, cases: 400, operators: 10, perMinute: 0.01, counting: true}.rows(), nucleusLoss())
	require.Empty(t, r.Why)
	require.Equal(t, 400, r.N)
	require.Equal(t, 10, r.Operators)
	rel := r.Relations[0]
	// A minute takes exp(-0.01): 0.995 % fewer cells are left.
	require.InDelta(t, 0.995, rel.Adjusted.Value, 0.4)
	require.Less(t, rel.Adjusted.Low, 0.995)
	require.Greater(t, rel.Adjusted.High, 0.995)
	require.Greater(t, rel.Unadjusted.Value, 1.5*rel.Adjusted.Value, "the hard nuclei stand behind most of the raw relation")
	require.Equal(t, "clustered", rel.Adjusted.Interval)
	require.NotNil(t, r.CountingError)
	require.Equal(t, 400, r.CountingError.Known)
	require.Greater(t, r.CountingError.Share, 20.0)
	require.Contains(t, rel.Text, "fewer cells left")
	require.Contains(t, rel.Text, "allowing for nuclear grade")
	require.Len(t, rel.Chart.Line, linePoints)
	require.Len(t, rel.Chart.Points, 400)
	require.Greater(t, len(rel.Chart.Smooth), linePoints/2)
	seen := rel.Chart.Points[0].CaseID
	r.Hide(func(id string) bool { return id == seen })
	kept, points := 0, append(append([]ChartPoint{}, r.Relations[0].Chart.Points...), r.Relations[0].Chart.Added...)
	for _, p := range points {
		if p.CaseID != "" {
			kept++
		}
	}
	require.Equal(t, 2, kept, "the one case that may be seen, in both plots")
	require.NotNil(t, rel.SmallestSeen)
	names := map[string]bool{}
	for _, s := range rel.Sensitivity {
		names[s.Name] = true
		require.True(t, s.Size != nil || s.Why != "", s.Name)
	}
	require.True(t, names["robust line (Theil-Sen) after the factors"])
	require.True(t, names["within nuclear grade 3"])
	require.True(t, names["between cases of the same operator"])
	require.True(t, names["every count weighing the same"])
	require.Contains(t, fmt.Sprint(r.CannotSay), "may only mark the hard nuclei")
}

func TestPlantedRuptureIsFound(t *testing.T) {
	d := Definition{Outcome: Outcome{Kind: Complication, Complication: cohort.CapsuleRupture}, Exposures: []Exposure{{Kind: StageTime, Code: "nucleus"}}}
	r := Study(planted{seed: 4, cases: 2000, operators: 12, oddsPerMinute: 0.2, ruptureLogit: -3.5}.rows(), d)
	require.Empty(t, r.Why)
	rel := r.Relations[0]
	require.Less(t, rel.Adjusted.Low, math.Exp(0.2))
	require.Greater(t, rel.Adjusted.High, math.Exp(0.2))
	require.Greater(t, rel.Adjusted.Low, 1.0)
	require.Greater(t, *rel.Adjusted.EventsPerParameter, 5.0)
	require.NotNil(t, rel.Adjusted.OtherLow)
	require.Contains(t, rel.Text, "odds ratio")
	require.Contains(t, fmt.Sprint(rel.Checks), "No bend is shown (p = ")
	require.Contains(t, fmt.Sprint(rel.Checks), "The event farthest out does not make this alone")
}

// TestABendIsTold plants odds that rise with the distance from five minutes, on both sides.
func TestABendIsTold(t *testing.T) {
	rows := planted{seed: 4, cases: 1500, operators: 12, ruptureLogit: -3}.rows()
	chance := rand.New(rand.NewPCG(5, 5))
	for i := range rows {
		off := float64(*rows[i].Stages[0].Total)/minute - 5
		rows[i].CapsuleRupture = chance.Float64() < 1/(1+math.Exp(3-0.3*off*off))
		rows[i].After[0].Count.Density *= math.Exp(-0.01 * off * off)
	}
	for _, d := range []Definition{nucleusLoss(), nucleusRupture()} {
		d.Population.WithRuptures = true
		require.Contains(t, strings.Join(Study(rows, d).Relations[0].Checks, " "), "The relation is not a straight line (p under 0.001 for a bend)")
	}
}

func TestGuardRails(t *testing.T) {
	few := planted{seed: 2, cases: 60, operators: 6, perMinute: 0.02}.rows()
	for i := range few[:45] {
		few[i].After = nil
	}
	r := Study(few, nucleusLoss())
	require.Equal(t, "Everything is known of 15 cases; nothing is modelled under 20. Most often missing, in 45 cases: There is no visit of that window.", r.Why)
	require.Empty(t, r.Relations)
	require.NotEmpty(t, r.Differences)

	rare := planted{seed: 3, cases: 300, operators: 6}.rows()
	for i := range 9 {
		rare[i].CapsuleRupture = true
	}
	d := Definition{Outcome: Outcome{Kind: Complication, Complication: cohort.CapsuleRupture}, Exposures: []Exposure{{Kind: OperationTime}}}
	r = Study(rare, d)
	require.Contains(t, r.Why, "9 cases had this complication; nothing is modelled under 10.")
	r = Study(nil, d)
	require.Equal(t, "The definition chooses no case.", r.Why)
	require.NotEmpty(t, Study(rare, Definition{}).Why)
}

func TestDefinitionsAreChecked(t *testing.T) {
	good := nucleusLoss()
	require.Empty(t, good.Check())
	for name, spoil := range map[string]func(*Definition){
		"outcome":      func(d *Definition) { d.Outcome.Kind = "luck" },
		"window":       func(d *Definition) { d.Outcome.Window = "" },
		"complication": func(d *Definition) { d.Outcome = Outcome{Kind: Complication} },
		"no exposure":  func(d *Definition) { d.Exposures = nil },
		"exposure":     func(d *Definition) { d.Exposures = []Exposure{{Kind: "mood"}} },
		"no code":      func(d *Definition) { d.Exposures = []Exposure{{Kind: StepTime}} },
		"scale":        func(d *Definition) { d.Exposures = []Exposure{{Kind: OperationTime, Scale: "tripling"}} },
		"doubling":     func(d *Definition) { d.Exposures = []Exposure{{Kind: Contacts, Scale: PerDoubling}} },
		"twice":        func(d *Definition) { d.Exposures = append(d.Exposures, d.Exposures[0]) },
		"factor":       func(d *Definition) { d.Adjust = []string{"weather"} },
		"factor twice": func(d *Definition) { d.Adjust = []string{"age", "age"} },
	} {
		t.Run(name, func(t *testing.T) {
			d := nucleusLoss()
			spoil(&d)
			require.Len(t, d.Check(), 1)
		})
	}
}

func TestTwoCasesDriveThis(t *testing.T) {
	rows := planted{seed: 8, cases: 120, operators: 15}.rows()
	for i := range rows[:2] {
		long := int64(11 * minute)
		rows[i].Stages[0].Total = &long
		rows[i].After[0].Count.Density = 0.5 * rows[i].Before.Count.Density
	}
	r := Study(rows, nucleusLoss())
	rel := r.Relations[0]
	require.Contains(t, rel.Checks[0], "Two cases drive this: without them, the figure is")
	require.Contains(t, []string{"case-000000", "case-000001"}, rel.Driving[0].CaseID)
	require.Contains(t, []string{"case-000000", "case-000001"}, rel.Driving[1].CaseID)
}

func TestCollinearityIsTold(t *testing.T) {
	d := nucleusLoss()
	d.Exposures = append(d.Exposures, Exposure{Kind: Dissipated}, Exposure{Kind: Contacts})
	r := Study(planted{seed: 5, cases: 300, operators: 8, perMinute: 0.01}.rows(), d)
	require.Contains(t, fmt.Sprint(r.Collinear), "go together")
	for _, rel := range r.Relations {
		require.NotNil(t, rel.Together)
		require.GreaterOrEqual(t, *rel.Holm, *rel.Adjusted.P)
		require.GreaterOrEqual(t, *rel.Holm, *rel.BenjaminiHochberg)
	}
	require.Contains(t, fmt.Sprint(r.Notes), "3 exposures were tried")
}

func TestFactorsThatTheDataDoNotCarryAreTold(t *testing.T) {
	rows := planted{seed: 6, cases: 200, operators: 6, perMinute: 0.01}.rows()
	for i := range rows {
		if i%3 == 0 {
			rows[i].Before.ChamberDepth = nil
		}
		if i%50 == 0 {
			rows[i].Before.Age = nil
		}
	}
	r := Study(rows, nucleusLoss())
	reasons := map[string]string{}
	for _, a := range r.NotAdjusted {
		reasons[a.Code] = a.Reason
	}
	require.Contains(t, reasons["chamberDepth"], "not recorded in 34 %")
	require.Contains(t, reasons["pupil"], "the same in all")
	require.Contains(t, reasons["diabetes"], "not recorded in 100 %")
	require.Equal(t, 196, r.N)
	d := nucleusLoss()
	d.Adjust = []string{"chamberDepth"}
	r = Study(rows, d)
	require.Equal(t, 133, r.N, "a factor that is asked for is kept, and the cases without it fall out")
	require.Equal(t, "Not recorded: chamber depth.", r.FellOut[0].Reason)
	d.Adjust = []string{}
	require.Equal(t, 200, Study(rows, d).N)
}

func TestEnergyOfMachinesIsNeverMixed(t *testing.T) {
	rows := planted{seed: 6, cases: 100, operators: 6}.rows()
	for i := range rows[:30] {
		rows[i].Operation.MachineFamily = "another"
	}
	rows[99].Operation.MachineFamily = ""
	d := nucleusLoss()
	d.Exposures = []Exposure{{Kind: Dissipated}}
	r := Study(rows, d)
	require.Equal(t, 69, r.N)
	require.Equal(t, 30, r.FellOut[0].Cases)
	require.Contains(t, r.FellOut[0].Reason, "never mixed")
}

// TestSameBytes: the same definition on the same rows, in any order and on any number of cores, gives the same bytes.
func TestSameBytes(t *testing.T) {
	rows := planted{seed: 9, cases: 3000, operators: 10, perMinute: 0.01, counting: true, oddsPerMinute: 0.1, ruptureLogit: -3}.rows()
	rupture := Definition{Outcome: Outcome{Kind: Complication, Complication: cohort.CapsuleRupture}, Exposures: []Exposure{{Kind: StageTime, Code: "nucleus"}}}
	for _, d := range []Definition{nucleusLoss(), rupture} {
		before := runtime.GOMAXPROCS(1)
		one, err := json.Marshal(Study(rows, d))
		require.NoError(t, err)
		turned := slices.Clone(rows)
		slices.Reverse(turned)
		for _, cores := range []int{2, 4} {
			runtime.GOMAXPROCS(cores)
			several, err := json.Marshal(Study(turned, d))
			require.NoError(t, err)
			require.Equal(t, string(one), string(several))
		}
		runtime.GOMAXPROCS(before)
	}
}

func TestStudyIsCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	d := nucleusLoss()
	d.Exposures = append(d.Exposures, Exposure{Kind: Dissipated})
	told := 0
	_, err := StudyContext(ctx, planted{seed: 1, cases: 100, operators: 6}.rows(), d, Options{Progress: func(done, of int) {
		told++
		require.Equal(t, 2, of)
		cancel()
	}})
	require.ErrorIs(t, err, context.Canceled)
	require.Equal(t, 1, told)
}

// TestWhatIsRead reads each exposure of one case by hand.
func TestWhatIsRead(t *testing.T) {
	half, whole := int64(minute/2), int64(3*minute)
	cde, fluid := 12.5, 80.0
	row := cohort.Row{
		Operator: "mine", Tagged: true, Measured: true, Time: &whole, Interruption: minute, Events: map[string]int{"ovd-top-up": 2},
		Operation: cohort.Operation{CDE: &cde, FluidUsed: &fluid, MachineFamily: "invented"},
		Steps: []cohort.Part{
			{Code: "cortex", Total: &whole, Quality: timeline.Measured, ByOperator: []cohort.Share{{Operator: "mine", Total: &whole, Episodes: 1, Quality: timeline.Measured}, {Operator: "other", Total: &half, Episodes: 1, Quality: timeline.Measured}}},
			{Code: "removal", Total: &half, Quality: timeline.LowerBound},
		},
	}
	for _, one := range []struct {
		exposure Exposure
		value    float64
		reason   string
	}{
		{Exposure{Kind: OperationTime}, 3, ""},
		{Exposure{Kind: StepTime, Code: "cortex"}, 3, ""},
		{Exposure{Kind: StepTime, Code: "removal"}, 0, "Its time is not fully recorded."},
		{Exposure{Kind: StepTime, Code: "dye"}, 0, "Its time is not recorded."},
		{Exposure{Kind: Interruption}, 1, ""},
		{Exposure{Kind: HandedOver}, 0.5, ""},
		{Exposure{Kind: Dissipated}, 12.5, ""},
		{Exposure{Kind: Fluid}, 80, ""},
		{Exposure{Kind: OVDTopUps}, 2, ""},
		{Exposure{Kind: Contacts}, 0, ""},
		{Exposure{Kind: EffectiveTime}, 0, "The EPT is not recorded."},
	} {
		value, reason := one.exposure.reading("invented")(&row)
		require.Equal(t, one.reason, reason, one.exposure.Kind)
		if reason == "" {
			require.InDelta(t, one.value, value, 1e-12, one.exposure.Kind)
			scaled, _ := one.exposure.scaled(value)
			require.InDelta(t, value, one.exposure.unscaled(scaled), 1e-12)
		}
	}
	scaled, _ := Exposure{Kind: OperationTime, Scale: PerDoubling}.scaled(8)
	require.InDelta(t, 3, scaled, 1e-12)
	_, reason := Exposure{Kind: OperationTime, Scale: PerDoubling}.scaled(0)
	require.NotEmpty(t, reason)
	row.Tagged = false
	_, reason = Exposure{Kind: Contacts}.reading("")(&row)
	require.Equal(t, notTagged, reason)
}

// TestCountsOfDifferentInstruments: they are compared only in the cases that ask for it, and that is told.
func TestCountsOfDifferentInstruments(t *testing.T) {
	rows := planted{seed: 7, cases: 200, operators: 6, perMinute: 0.01, counting: true}.rows()
	for i := range 20 {
		rows[i].Before.Count.Instrument, rows[i].After[0].Count.Instrument = "quay", "Harbour"
	}
	r := Study(rows, nucleusLoss())
	require.Equal(t, 180, r.N)
	require.Equal(t, []cohort.LeftOut{{Reason: "The two counts are of different instruments or methods, and the case does not ask for them to be compared.", Cases: 20}}, r.FellOut)
	require.NotContains(t, fmt.Sprint(r.Notes), "different instruments")
	without := r.Relations[0].Adjusted

	for i := range 20 {
		rows[i].CompareInstruments = true
	}
	r = Study(rows, nucleusLoss())
	require.Equal(t, 200, r.N)
	require.Contains(t, fmt.Sprint(r.Notes), "In 20 cases the two counts are of different instruments or methods and are compared at the case's request; published systematic differences are 184 to 228 cells/mm²")
	at := slices.IndexFunc(r.Relations[0].Sensitivity, func(s Sensitivity) bool { return s.Name == "without counts of different instruments" })
	require.Equal(t, without.Value, r.Relations[0].Sensitivity[at].Size.Value)

	a := CaseLevel(refer(rows), &rows[0], nil)
	require.NotNil(t, a.Loss)
	require.Contains(t, fmt.Sprint(a.Notes), "different instruments")
	rows[0].CompareInstruments = false
	a = CaseLevel(refer(rows), &rows[0], nil)
	require.Nil(t, a.Loss)
	require.Contains(t, a.WhyNoLoss, "does not ask for them to be compared")
}
