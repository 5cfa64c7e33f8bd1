package stat

import (
	"math"
	"slices"
)

const (
	// negligible is the share of the top below which the integrand is cut off.
	negligible = 1e-8
	// ratioNodes is the number of ratios over which a contrast is averaged.
	ratioNodes = 61
	// coarseSteps and fineSteps are the steps with which the integrand is surveyed, first everywhere, then where it has weight.
	coarseSteps, fineSteps = 75, 24
	// lowestRoot and highestRoot bound that logarithm: a standard deviation between groups of 1e-7 to 1e6 times that within.
	lowestRoot, highestRoot = -16, 14
)

// average finds where the likelihood of the root of the ratio has weight and lays nodes there, evenly in its logarithm:
// the trapezium rule on an integrand that dies away on both sides.
func (c *Contrasts) average() {
	height := func(at float64) float64 { return c.at(math.Exp(2*at)).height + at } // d root = root d log root
	from, to := weighty(height, lowestRoot, highestRoot, coarseSteps)
	from, to = weighty(height, from, to, fineSteps)
	top, total := math.Inf(-1), 0.0
	nodes := make([]contrastNode, ratioNodes)
	for k := range nodes {
		at := from + (to-from)*float64(k)/(ratioNodes-1)
		nodes[k] = c.at(math.Exp(2 * at))
		nodes[k].height += at
		top = max(top, nodes[k].height)
	}
	for k := range nodes {
		nodes[k].share = math.Exp(nodes[k].height - top)
		total += nodes[k].share
	}
	for _, s := range nodes {
		if s.share /= total; s.share >= negligible {
			c.nodes = append(c.nodes, c.averaged(s))
			c.Between += s.share * math.Sqrt(s.ratio*s.left/c.freedom())
		}
	}
}

// weighty narrows a range to where the integrand has weight at one of so many steps, and a step more on both sides,
// since a narrow peak may lie between two.
func weighty(height func(float64) float64, from, to float64, steps int) (low, high float64) {
	at := func(k int) float64 { return from + (to-from)*float64(k)/float64(steps) }
	heights := make([]float64, steps+1)
	for k := range heights {
		heights[k] = height(at(k))
	}
	least := slices.Max(heights) + math.Log(negligible)
	first := slices.IndexFunc(heights, func(h float64) bool { return h >= least })
	last := first
	for k, h := range heights {
		if h >= least {
			last = k
		}
	}
	return at(max(0, first-1)), at(min(steps, last+1))
}

// studentMixture is a mixture of Student distributions of the same freedom.
type studentMixture struct {
	freedom              float64
	share, centre, scale []float64
	total                float64
}

func (m *studentMixture) add(share, centre, scale float64) {
	m.share, m.centre, m.scale = append(m.share, share), append(m.centre, centre), append(m.scale, scale)
	m.total += share
}

// moments gives mean and standard deviation; the latter as if normal where the freedom leaves it undefined.
func (m *studentMixture) moments() (mean, sd float64) {
	for i, share := range m.share {
		mean += share * m.centre[i]
	}
	mean /= m.total
	stretch := 1.0
	if m.freedom > 2 {
		stretch = m.freedom / (m.freedom - 2)
	}
	var variance float64
	for i, share := range m.share {
		away := m.centre[i] - mean
		variance += share * (away*away + m.scale[i]*m.scale[i]*stretch)
	}
	return mean, math.Sqrt(variance / m.total)
}

// normalFrom is the freedom from which Student's distribution is taken as normal: the error is below 1e-5.
const normalFrom = 20000

// below gives the share of the mixture below x, and its density there.
func (m *studentMixture) below(x float64) (share, density float64) {
	a, _ := math.Lgamma((m.freedom + 1) / 2)
	b, _ := math.Lgamma(m.freedom / 2)
	scale := math.Exp(a-b) / math.Sqrt(m.freedom*math.Pi)
	for i, weight := range m.share {
		z := (x - m.centre[i]) / m.scale[i]
		var under, height float64
		if m.freedom >= normalFrom {
			under, height = math.Erfc(-z/math.Sqrt2)/2, math.Exp(-z*z/2)/math.Sqrt(2*math.Pi)
		} else {
			under = studentTwoSided(z, m.freedom) / 2
			if z > 0 {
				under = 1 - under
			}
			height = scale * math.Exp(-(m.freedom+1)/2*math.Log1p(z*z/m.freedom))
		}
		share += weight * under
		density += weight * height / m.scale[i]
	}
	return share / m.total, density / m.total
}

// quantile is sought by Newton steps within a bracket, which a step that leaves it halves.
func (m *studentMixture) quantile(p float64) float64 {
	mean, sd := m.moments()
	low, high := mean-sd, mean+sd
	for share, _ := m.below(low); share > p; share, _ = m.below(low) {
		low -= 2 * (mean - low)
	}
	for share, _ := m.below(high); share < p; share, _ = m.below(high) {
		high += 2 * (high - mean)
	}
	x := min(max(mean+normalQuantile(p)*sd, low), high)
	for range 60 {
		share, density := m.below(x)
		if share < p {
			low = x
		} else {
			high = x
		}
		next := x - (share-p)/density
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if math.Abs(next-x) <= 1e-8*sd {
			return next
		}
		x = next
	}
	return x
}
