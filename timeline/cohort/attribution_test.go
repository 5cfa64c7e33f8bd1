package cohort

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline"
)

func ms(v int64) *int64 { return &v }

func share(operator string, total int64) Share {
	return Share{Operator: operator, Total: &total, Episodes: 1, Quality: timeline.Measured}
}

func step(code string, shares ...Share) Part {
	p := Part{Code: code, Total: ms(0), Episodes: len(shares), Quality: timeline.Measured, ByOperator: shares}
	for _, s := range shares {
		*p.Total += *s.Total
	}
	return p
}

func TestWhoseTime(t *testing.T) {
	measured := Part{Code: "s", Total: ms(5000), Episodes: 1, Quality: timeline.Measured}
	with := func(change func(*Part)) Part {
		p := measured
		change(&p)
		return p
	}
	whole := Row{CaseID: "c", Operator: "lead", Tagged: true, Steps: []Part{step("other", share("lead", 9000))}}
	partly := Row{CaseID: "c", Operator: "lead", Tagged: true, Steps: []Part{step("a", share("lead", 9000)), step("b", share("guest", 4000))}}
	for name, c := range map[string]struct {
		row      Row
		part     Part
		operator string
		reason   lossReason
	}{
		"of the one who did it":        {partly, step("s", share("guest", 5000)), "guest", notLost},
		"without a name: who led":      {whole, step("s", share("", 5000)), "lead", notLost},
		"no shares in a whole case":    {whole, measured, "lead", notLost},
		"no shares in a part-case":     {partly, measured, "", shared},
		"of two":                       {partly, step("s", share("guest", 5000), share("lead", 5000)), "", shared},
		"a share without episodes":     {partly, step("s", share("guest", 5000), Share{Operator: "lead", Total: ms(0)}), "guest", notLost},
		"nobody known":                 {Row{CaseID: "c", Tagged: true}, measured, "", unknownOperator},
		"lower bound":                  {whole, with(func(p *Part) { p.Quality = timeline.LowerBound }), "", lowerBound},
		"edited":                       {whole, with(func(p *Part) { p.Quality = timeline.NoStatistics }), "", noStatistics},
		"not recorded":                 {whole, with(func(p *Part) { p.Quality, p.Total = timeline.NotRecorded, nil }), "", notRecorded},
		"not recorded in a part-case":  {partly, with(func(p *Part) { p.Quality, p.Total = timeline.NotRecorded, nil }), "", notRecorded},
		"no total though measured":     {whole, with(func(p *Part) { p.Total = nil }), "", notRecorded},
		"no length":                    {whole, with(func(p *Part) { p.Total = ms(0) }), "", noTime},
		"led by another than operated": {Row{CaseID: "c", Operator: "lead", Tagged: true, Steps: []Part{step("o", share("guest", 1))}}, measured, "guest", notLost},
	} {
		t.Run(name, func(t *testing.T) {
			row := c.row
			row.Steps = append(append([]Part{}, row.Steps...), c.part)
			cohort := New([]Row{row})
			col := cohort.columns[columnKey{OfStep, "s"}]
			if c.reason != notLost {
				require.Equal(t, []loss{{0, c.reason}}, col.lost)
				require.NotEmpty(t, c.reason.String())
				return
			}
			require.Empty(t, col.lost)
			require.Equal(t, c.operator, cohort.operators[col.entries[0].operator])
			require.EqualValues(t, 5000, col.entries[0].total)
		})
	}
}

// A part-case counts each step for who did it, and its operation time for nobody.
func TestPartCase(t *testing.T) {
	row := Row{
		CaseID: "c", Date: "2026-01-01", Operator: "lead", Tagged: true, Time: ms(20_000), Measured: true,
		Steps: []Part{step("a", share("trainee", 9000)), step("b", share("lead", 4000))},
	}
	items := []Item{{OfStep, "a", "A"}, {OfStep, "b", "B"}, {OfOperation, "", "Operation"}}
	answer := Compare(New([]Row{row}), Question{Items: items, Part: PartCases}, []Lane{{Operator: "trainee"}, {Operator: "lead"}})
	require.Equal(t, Counted{Cases: 1, Operators: 2, LeftOut: []LeftOut{}}, answer.N)
	require.Equal(t, 1, answer.Rows[0].Lanes[0].N)
	require.True(t, answer.Rows[0].Lanes[0].Points[0].Part)
	require.Zero(t, answer.Rows[0].Lanes[1].N)
	require.Equal(t, 1, answer.Rows[1].Lanes[1].N)
	require.Equal(t, []LeftOut{{"more than one person operated it", 1}}, answer.Rows[2].LeftOut)
}
