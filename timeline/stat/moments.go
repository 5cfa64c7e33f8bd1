package stat

import (
	"gonum.org/v1/gonum/floats"
)

// GroupMoments are the sums from which a linear model with a level for each group follows: one pass over the cases, and
// no case is kept. Terms and outcome should lie near 0 in units near 1, so that the sums keep their digits.
type GroupMoments struct {
	terms []string
	width int         // terms and the outcome
	size  []float64   // cases per group
	sums  [][]float64 // per group: of each term, last of the outcome
	cross []float64   // width x width, upper triangle: of products
	n     int
}

// NewGroupMoments starts the sums for the named terms (without an intercept) and groups 0 to groups - 1.
func NewGroupMoments(terms []string, groups int) *GroupMoments {
	m := &GroupMoments{terms: terms, width: len(terms) + 1, size: make([]float64, groups), sums: make([][]float64, groups)}
	all := make([]float64, groups*m.width)
	for g := range m.sums {
		m.sums[g] = all[g*m.width : (g+1)*m.width]
	}
	m.cross = make([]float64, m.width*m.width)
	return m
}

// Add counts one case: its terms, last the outcome. Values must be finite; the slice is not kept.
func (m *GroupMoments) Add(group int, values []float64) {
	m.n++
	m.size[group]++
	sums := m.sums[group][:len(values)]
	for j, v := range values {
		if v == 0 {
			continue // 0/1 terms are mostly 0
		}
		sums[j] += v
		rest := values[j:]
		row := m.cross[j*m.width+j:][:len(rest)]
		for k, w := range rest {
			row[k] += v * w
		}
	}
}

// N is the number of cases.
func (m *GroupMoments) N() int { return m.n }

// Size is the number of cases of a group.
func (m *GroupMoments) Size(group int) int { return int(m.size[group]) }

// within gives the sums of products about the means of the groups, and about the common mean.
func (m *GroupMoments) within() (within, total []float64) {
	within, total = make([]float64, len(m.cross)), make([]float64, len(m.cross))
	all := make([]float64, m.width)
	for g, size := range m.size {
		if size == 0 {
			continue
		}
		floats.Add(all, m.sums[g])
		for j, v := range m.sums[g] {
			for k := j; k < m.width; k++ {
				within[j*m.width+k] -= v * m.sums[g][k] / size
			}
		}
	}
	for j := range m.width {
		for k := j; k < m.width; k++ {
			at := j*m.width + k
			within[at] += m.cross[at]
			total[at] = m.cross[at] - all[j]*all[k]/float64(m.n)
			within[k*m.width+j], total[k*m.width+j] = within[at], total[at]
		}
	}
	return within, total
}

// DroppedTerm is a term that cannot be told apart, with the reason.
type DroppedTerm struct {
	Term   string
	Reason Reason
	// Between says that the term varies between groups only: it cannot be told apart from the groups themselves.
	Between bool
}

// leastShare is the share of a term's spread that must be left after the groups and the terms before it.
const leastShare = 1e-7

// Usable gives the sums of the terms that can be told apart from the groups and from each other, and what was dropped. Of
// terms that say the same, the first stays.
func (m *GroupMoments) Usable() (*GroupMoments, []DroppedTerm) {
	within, total := m.within()
	left := append([]float64(nil), within...) // swept by the terms that stay
	var dropped []DroppedTerm
	var kept []int
	for j := range m.width - 1 {
		spread := total[j*m.width+j]
		switch {
		case !(spread > 1e-12*float64(m.n)):
			dropped = append(dropped, DroppedTerm{Term: m.terms[j], Reason: Constant})
		case within[j*m.width+j] <= leastShare*spread:
			dropped = append(dropped, DroppedTerm{Term: m.terms[j], Reason: RankDeficient, Between: true})
		case left[j*m.width+j] <= leastShare*spread:
			dropped = append(dropped, DroppedTerm{Term: m.terms[j], Reason: RankDeficient})
		default:
			kept = append(kept, j)
			pivot := append([]float64(nil), left[j*m.width:(j+1)*m.width]...)
			for k := range m.width {
				floats.AddScaled(left[k*m.width:(k+1)*m.width], -pivot[k]/pivot[j], pivot)
			}
		}
	}
	if dropped == nil {
		return m, nil
	}
	return m.only(kept), dropped
}

// only gives the sums of some of the terms.
func (m *GroupMoments) only(kept []int) *GroupMoments {
	terms := make([]string, len(kept))
	for i, j := range kept {
		terms[i] = m.terms[j]
	}
	fewer := NewGroupMoments(terms, len(m.size))
	fewer.n = m.n
	copy(fewer.size, m.size)
	columns := append(append([]int(nil), kept...), m.width-1)
	for a, j := range columns {
		for g := range m.sums {
			fewer.sums[g][a] = m.sums[g][j]
		}
		for b := a; b < len(columns); b++ {
			fewer.cross[a*fewer.width+b] = m.cross[j*m.width+columns[b]]
		}
	}
	return fewer
}
