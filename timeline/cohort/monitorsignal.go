package cohort

import (
	"fmt"

	"zonule/timeline/stat"
)

// signal tells what a crossing rests on.
func (x crossing) signal(direction string, s *series) Signal {
	at := s.cases[x.at].row
	g := Signal{
		Direction: direction, Number: x.at + 1, CaseID: at.CaseID, Date: at.Date, SinceNumber: x.since + 1,
		SinceDate: s.cases[x.since].row.Date, Cases: x.at - x.since + 1, Behind: []string{}, Reviewed: x.reviewed,
	}
	for _, one := range s.cases[x.since : x.at+1] {
		g.Expected += one.middle
		if one.failed {
			g.Events++
			g.Behind = append(g.Behind, one.row.CaseID)
		}
	}
	g.Text = fmt.Sprintf("On %s the chart for %s results reached its limit: %s in %s since %s, where %s were expected.",
		g.Date, direction, plural(g.Events, "event"), plural(g.Cases, "case"), g.SinceDate, figure(g.Expected))
	if x.reviewed != "" {
		g.Text += " It was reviewed: " + x.reviewed + "."
	} else if direction == "worse" {
		g.Text += " A signal is a reason to look at these cases, not a verdict: the mix of eyes, the record and chance come first."
	}
	return g
}

// competence runs the chart that begins with "not yet shown" over the operator's cases.
func (m *Monitoring) competence(s *series) *Competence {
	adequate, inadequate := m.Question.Adequate/100, m.Question.Inadequate/100
	w, limit, wrong, right, err := learningLimit(adequate, inadequate)
	if err != nil {
		m.Notes = append(m.Notes, "The chart of competence could not be drawn: "+err.Error())
		return nil
	}
	weights := make([]float64, len(s.cases))
	for i, one := range s.cases {
		weights[i] = w.Of(one.failed)
	}
	chart, err := stat.CUSUM(weights, limit, false)
	if err != nil {
		m.Notes = append(m.Notes, "The chart of competence could not be drawn: "+err.Error())
		return nil
	}
	k := &Competence{
		Adequate: m.Question.Adequate, Inadequate: m.Question.Inadequate, Limit: limit, Path: chart.Path,
		WrongWithin: chancesWithin(competenceHorizons, wrong.Within), FoundAfter: right.Average,
	}
	meaning := fmt.Sprintf("Somebody who really fails in %s %% of cases would be declared adequate within %d cases with a chance of %s %%; somebody who fails in %s %% needs %s cases on average.",
		figure(k.Inadequate), wrongCases, figure(k.WrongWithin[1].Percent), figure(k.Adequate), whole(k.FoundAfter))
	if len(chart.Signals) == 0 {
		k.Text = fmt.Sprintf("These %s do not yet show a failure rate nearer %s %% than %s %%. ", plural(len(s.cases), "case"), figure(k.Adequate), figure(k.Inadequate)) + meaning
		return k
	}
	number := chart.Signals[0] + 1
	k.Reached, k.Date = &number, s.cases[number-1].row.Date
	k.Text = fmt.Sprintf("With case %s on %s the record showed a failure rate nearer %s %% than %s %%. ", count(number), k.Date, figure(k.Adequate), figure(k.Inadequate)) + meaning
	return k
}

// tell composes the answer.
func (m *Monitoring) tell() {
	m.Text = append(m.Text, fmt.Sprintf("%s in %s; %s were expected.", plural(m.Events, "event"), plural(m.N, "case"), figure(m.Expected)))
	last := m.Points[len(m.Points)-1]
	m.Text = append(m.Text, fmt.Sprintf("That is %s %s than expected; chance alone spreads that figure by about %s either way (two standard deviations).",
		figure(max(last.Excess, -last.Excess)), moreOrFewer(last.Excess), figure(2*last.ExcessSD)))
	if len(m.Signals) == 0 && (m.Worse != nil || m.Better != nil) {
		m.Text = append(m.Text, "No chart has reached its limit. That is not proof that nothing has changed.")
	}
	for _, signal := range m.Signals {
		m.Text = append(m.Text, signal.Text)
	}
	if low, high := m.Sensitivity[0], m.Sensitivity[2]; low.Worse != high.Worse || low.Better != high.Better {
		m.Notes = append(m.Notes, fmt.Sprintf("Whether a chart signals depends on risk factors that are not known: between %s and %s events are expected. Complete the record before reading more into it.", figure(low.Expected), figure(high.Expected)))
	}
	if m.Competence != nil {
		m.Text = append(m.Text, m.Competence.Text)
		m.Notes = append(m.Notes, "The chart of competence takes every case alike; it is not adjusted for how difficult the eyes were. In a team the surgeon who led is not alone responsible for a complication.")
	}
	m.Notes = append(m.Notes, "A case without a recorded complication counts as one without it; a complication found later moves the charts when it is recorded.")
}

func moreOrFewer(excess float64) string {
	if excess < 0 {
		return "fewer"
	}
	return "more"
}

// monitoringMethods tells where the figures of monitoring come from.
var monitoringMethods = []Method{
	{
		Name:    "Risk-adjusted CUSUM",
		Formula: "S = max(0, S + W), from 0; W = ln(R / (1 - p + R p)) for an event, ln(1 / (1 - p + R p)) without; p the expected chance of the case, R the odds ratio looked for.",
		Source:  "Steiner SH, Cook RJ, Farewell VT, Treasure T. Biostatistics 2000;1:441-52", Status: "weights found, formula from memory",
		Caution: "It is as good as the expected chances. A signal says that chance is an unlikely explanation, not what the explanation is.",
	},
	{
		Name:    "Limits",
		Formula: "The limit at which a chart in control signals once in the stated number of cases on average, by Markov chain over the mix of chances in these cases (exact when all are the same).",
		Source:  "Brook D, Evans DA. Biometrika 1972;59:539-49", Status: "from memory",
		Caution: "The rate holds for this mix of cases. Two charts, many operators and many kinds of complication together give false alarms more often.",
	},
	{
		Name:    "Observed minus expected",
		Formula: "Sum of (event - p); its spread is the root of the sum of p (1 - p).",
		Source:  "Lovegrove J and others. Lancet 1997;350:1128-30 (mirrored form)", Status: "from memory",
		Caution: "It shows how many, not whether: it has no limit of its own and goes on wandering by chance.",
	},
	{
		Name:    "Chart of competence (LC-CUSUM)",
		Formula: "S = max(0, S + W); W = ln((1 - p0)/(1 - p1)) for a success, ln(p0/p1) for a failure; p0 the adequate, p1 the inadequate rate.",
		Source:  "Biau DJ and others. Br J Surg 2008;95:925-9", Status: "found",
		Caution: "It tells one rate from another. It is no judgement of a person and no substitute for assessment by a trainer.",
	},
}
