package outcome

import (
	"fmt"
	"slices"

	"zonule/timeline/stat"
)

// reverse explains how a relation with a hard nucleus behind it may run the other way round, with the figures of these cases;
// "" where it does not apply.
func (t *table) reverse(relations []Relation) string {
	var names, correlations []string
	for k, rel := range relations {
		if !rel.Exposure.nearNucleus() || rel.Summary.SD == 0 {
			continue
		}
		rho, known := t.withGrade(k)
		if known && rho < weakRank {
			continue
		}
		names = append(names, rel.Name)
		if known {
			correlations = append(correlations, fmt.Sprintf("%.2f", rho))
		}
	}
	if len(names) == 0 {
		return ""
	}
	text := "A hard nucleus takes more time and energy, and such an eye does worse whatever the time: "
	if len(names) == 1 {
		text += "a high figure of " + names[0] + " may only mark the hard nuclei."
	} else {
		text += "high figures of " + listed(names) + " may only mark the hard nuclei."
	}
	switch len(correlations) {
	case 0:
		return text + " The grades of these cases do not tell."
	case 1:
		text += " In these cases it goes with the grade (rank correlation " + correlations[0] + ")."
	default:
		text += " In these cases they go with the grade (rank correlations " + listed(correlations) + ")."
	}
	if slices.ContainsFunc(t.terms, func(c column) bool { return c.covariate == "nuclearGrade" }) {
		return text + " The grade is allowed for, as well as five steps describe it; the figures within one grade stand beside."
	}
	return text + " The grade is not allowed for here."
}

// withGrade is the rank correlation of an exposure with the nuclear grade; false where these cases do not tell.
func (t *table) withGrade(k int) (rho float64, known bool) {
	var grade, x []float64
	for i, row := range t.rows {
		if g := row.Before.NuclearGrade; g != nil {
			grade, x = append(grade, float64(*g)), append(x, t.x[k][i])
		}
	}
	rank, err := stat.Spearman(x, grade, level)
	return rank.Rho.Value, err == nil
}

// weakRank is the rank correlation under which an exposure does not mark the hard nuclei. Source: our choice.
const weakRank = 0.15
