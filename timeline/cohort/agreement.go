package cohort

import (
	"fmt"
	"slices"

	"zonule/timeline/stat"
)

// AgreementOver compares two readings of each of several cases: kappa over the pooled time, and for each item durations
// and boundaries. Items that are no steps are passed over.
func AgreementOver(pairs []ReadingPair, items []Item) Agreement {
	answer := Agreement{LeftOut: []LeftOut{}, Steps: []StepAgreement{}, Notes: []string{}, Methods: agreementMethods}
	var compared []comparedPair
	empty := 0
	for _, pair := range pairs {
		result, err := stat.CompareReadings(pair.Readings)
		if err != nil {
			empty++
			continue
		}
		compared = append(compared, comparedPair{pair, result})
		for _, note := range result.Notes {
			if !slices.Contains(answer.Notes, note) {
				answer.Notes = append(answer.Notes, note)
			}
		}
	}
	answer.Cases = len(compared)
	answer.LeftOut = counted([]LeftOut{{"neither reading has a marker", empty}})
	answer.Kappa = pooledKappa(compared)
	for _, item := range items {
		if item.Kind == OfStep {
			answer.Steps = append(answer.Steps, stepAgreement(item, compared))
		}
	}
	return answer
}

type comparedPair struct {
	ReadingPair
	result stat.ReadingAgreement
}

// pooledKappa adds the time of all cases. Milliseconds are not independent, cases are: the interval leaves out one case
// at a time (jackknife, Student with one freedom less than cases); nil where kappa is undefined. Source: Efron B, Stein C,
// Ann Stat 1981;9:586-96, from memory.
func pooledKappa(compared []comparedPair) *stat.Estimate {
	tables, whole := confusions(compared)
	value, ok := kappaOf(whole)
	if !ok {
		return nil
	}
	estimate := &stat.Estimate{Value: value, N: len(tables)}
	if len(tables) < fewestSummary {
		estimate.Notes = append(estimate.Notes, fmt.Sprintf("An interval needs %d cases.", fewestSummary))
		return estimate
	}
	without := make([]float64, 0, len(tables))
	for _, table := range tables {
		rest := make([][]int64, len(whole))
		for i := range whole {
			rest[i] = slices.Clone(whole[i])
			for j := range rest[i] {
				rest[i][j] -= table[i][j]
			}
		}
		k, ok := kappaOf(rest)
		if !ok {
			estimate.Notes = append(estimate.Notes, "One case alone decides kappa: it has no interval.")
			return estimate
		}
		without = append(without, k)
	}
	interval := stat.Jackknife(value, without, confidence)
	estimate.SE = interval.SE
	estimate.Interval = &stat.Interval{Lower: max(-1, interval.Interval.Lower), Upper: min(1, interval.Interval.Upper), Level: confidence}
	return estimate
}

func kappaOf(table [][]int64) (float64, bool) {
	k, err := stat.CohensKappa(table, confidence)
	return k.Value, err == nil
}

// confusions brings the tables of all cases to the same labels, the last for no label, and adds them up.
func confusions(compared []comparedPair) (tables [][][]int64, whole [][]int64) {
	place := map[string]int{}
	for _, pair := range compared {
		for _, label := range pair.Readings.Exclusive {
			if _, known := place[label]; !known {
				place[label] = len(place)
			}
		}
	}
	size := len(place) + 1
	square := func() [][]int64 {
		table := make([][]int64, size)
		for i := range table {
			table[i] = make([]int64, size)
		}
		return table
	}
	whole = square()
	for _, pair := range compared {
		table := square()
		at := func(k int) int {
			if k == len(pair.Readings.Exclusive) {
				return size - 1
			}
			return place[pair.Readings.Exclusive[k]]
		}
		for i, row := range pair.result.Confusion {
			for j, ms := range row {
				table[at(i)][at(j)] += ms
				whole[at(i)][at(j)] += ms
			}
		}
		tables = append(tables, table)
	}
	return tables, whole
}

func stepAgreement(item Item, compared []comparedPair) StepAgreement {
	step := StepAgreement{Item: item, Points: []AgreementPoint{}}
	var first, second []float64
	var rows []stat.LabelAgreement
	var overlap, union int64
	for _, pair := range compared {
		at := slices.IndexFunc(pair.result.Labels, func(l stat.LabelAgreement) bool { return l.Label == item.Code })
		if at < 0 {
			continue
		}
		row := pair.result.Labels[at]
		rows = append(rows, row)
		overlap, union = overlap+row.Overlap, union+row.Union
		switch {
		case row.TotalA > 0 && row.TotalB > 0:
			a, b := float64(row.TotalA), float64(row.TotalB)
			first, second = append(first, a), append(second, b)
			step.Points = append(step.Points, AgreementPoint{pair.CaseID, pair.Date, (a + b) / 2, b - a})
		case row.TotalA > 0:
			step.OnlyFirst++
		case row.TotalB > 0:
			step.OnlySecond++
		}
	}
	step.Both = len(first)
	step.Boundaries = stat.PoolBoundaries(rows)
	if union > 0 {
		share := float64(overlap) / float64(union)
		step.Overlap = &share
	}
	if step.Both < fewestSummary {
		step.Why = fmt.Sprintf("Both readings have it in %s: limits of agreement need %d.", plural(step.Both, "case"), fewestSummary)
		return step
	}
	limits, err := stat.BlandAltman(second, first, confidence)
	if err != nil {
		step.Why = err.Error()
		return step
	}
	step.Limits = &limits
	return step
}

// agreementMethods are the methods behind the agreement over a set of cases.
var agreementMethods = []Method{
	{
		Name:    "Kappa over a set of cases",
		Formula: "Cohen's kappa of the time by label of both readings, all cases added up in continuous time, no label being a label; interval by leaving out one case at a time.",
		Source:  "Cohen J. Educ Psychol Meas 1960;20:37-46; Efron B, Stein C. Ann Stat 1981;9:586-96", Status: "from memory; kappa checked against psych 2.2.9",
		Caution: "Long steps weigh more than short ones; kappa falls when one label fills most of the time.",
	},
	{
		Name:    "Limits of agreement",
		Formula: "Difference of durations, second less first: mean, and mean ± 1.96 standard deviations, with Student intervals.",
		Source:  "Bland JM, Altman DG. Lancet 1986;i:307-10", Status: "from memory; checked against R 4.2.2",
		Caution: "Supposes that the difference does not grow with the duration: look at the plot.",
	},
	{
		Name:    "Boundaries",
		Formula: "Starts and ends of the same step matched in order of time; median and 90th percentile of their distance, pooled over the cases.",
		Source:  "our definition", Status: "our definition",
		Caution: "A hand-picked instant is good to about a second: shorter distances count as agreement.",
	},
}
