package stat

import (
	"math"
)

const (
	// negligible is the share of the top below which the integrand is cut off.
	negligible = 1e-5
	// ratioNodes is the number of ratios over which a contrast is averaged.
	ratioNodes = 41
	// coarseStep is the step in the logarithm of the root of the ratio, with which the integrand is first surveyed.
	coarseStep = 0.4
	// lowestRoot and highestRoot bound that logarithm: a standard deviation between groups of 1e-4 to 1e6 times that within.
	lowestRoot, highestRoot = -9.2, 13.8
)

// average finds where the likelihood of the root of the ratio has weight and lays nodes there, evenly in its logarithm:
// the trapezium rule on an integrand that dies away on both sides.
func (c *Contrasts) average() {
	height := func(at float64) float64 {
		s, ok := c.fit.at(math.Exp(2 * at))
		if !ok {
			return math.Inf(-1)
		}
		return s.logWeight + at // d root = root d log root
	}
	var places, heights []float64
	top := math.Inf(-1)
	for at := lowestRoot; at <= highestRoot; at += coarseStep {
		h := height(at)
		places, heights = append(places, at), append(heights, h)
		top = max(top, h)
	}
	// A narrow peak may lie between two places of the survey; the neighbours of what has weight are taken in.
	low, high := len(places)-1, 0
	for i, h := range heights {
		if h >= top+math.Log(negligible) {
			low, high = min(low, i), max(high, i)
		}
	}
	from, to := places[max(0, low-1)], places[min(len(places)-1, high+1)]
	from, to = narrowed(height, from, to)
	c.nodes = nil
	top = math.Inf(-1)
	for k := range ratioNodes {
		at := from + (to-from)*float64(k)/(ratioNodes-1)
		if s, ok := c.fit.at(math.Exp(2 * at)); ok {
			s.logWeight += at
			top = max(top, s.logWeight)
			c.nodes = append(c.nodes, s)
		}
	}
	total := 0.0
	for i := range c.nodes {
		c.nodes[i].share = math.Exp(c.nodes[i].logWeight - top)
		total += c.nodes[i].share
	}
	kept := c.nodes[:0]
	for _, s := range c.nodes {
		if s.share /= total; s.share >= negligible {
			kept = append(kept, s)
			c.Between += s.share * math.Sqrt(s.ratio*s.left/c.fit.freedom())
		}
	}
	c.nodes = kept
}

// narrowed brings the ends of the integral to where the integrand begins to have weight, to a tenth of the way.
func narrowed(height func(float64) float64, from, to float64) (low, high float64) {
	const steps = 24
	top := math.Inf(-1)
	heights := make([]float64, steps+1)
	for k := range heights {
		heights[k] = height(from + (to-from)*float64(k)/steps)
		top = max(top, heights[k])
	}
	first, last := steps, 0
	for k, h := range heights {
		if h >= top+math.Log(negligible) {
			first, last = min(first, k), max(last, k)
		}
	}
	at := func(k int) float64 { return from + (to-from)*float64(k)/steps }
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
