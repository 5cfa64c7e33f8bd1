package stat

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// vertexSearch walks from plane to plane, each through p observations (the basis), downhill in the check loss.
type vertexSearch struct {
	d       *Design
	y       []float64 // moved apart a little, so that no two planes tie
	tau     float64
	basis   []int
	inBasis []bool
}

// fitQuantile gives the optimal coefficients. Ties are broken by moving each outcome by a fixed pattern far below the
// data's own digits; the coefficients then come from the outcomes as given. If the pattern decided the side of an
// observation, it is made smaller and the search repeated.
func fitQuantile(d *Design, y []float64, tau float64) ([]float64, error) {
	scale := floats.Norm(y, math.Inf(1))
	if scale == 0 {
		scale = 1
	}
	for _, size := range []float64{1e-8, 1e-10, 1e-12} {
		v := &vertexSearch{d: d, y: make([]float64, len(y)), tau: tau, inBasis: make([]bool, len(y))}
		for i := range y {
			_, pattern := math.Modf(float64(i+1) * math.Phi) // spreads evenly over [0, 1)
			v.y[i] = y[i] + scale*size*(pattern-0.5)
		}
		if !v.start() {
			return nil, degenerate(RankDeficient, "A term is a combination of the others.")
		}
		if !v.descend() {
			continue
		}
		b, _ := v.plane(y)
		if v.sidesHold(y, b, scale*1e-13) {
			return b, nil
		}
	}
	return nil, degenerate(NoConvergence, "The quantile fit did not settle: too many tied observations.")
}

// start takes as basis the independent observations nearest to the least-squares plane.
func (v *vertexSearch) start() bool {
	p := len(v.d.columns)
	o, err := orthogonalise(v.d, nil)
	if err != nil {
		return false
	}
	_, residuals := solveRefined(v.d, o, v.y, nil)
	order := make([]int, len(v.y))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(math.Abs(residuals[a]), math.Abs(residuals[b])) })
	var chosen [][]float64 // orthonormal rows of the basis, in the coordinates of Q
	for _, i := range order {
		row := make([]float64, p)
		for j, q := range o.q {
			row[j] = q[i]
		}
		length := floats.Norm(row, 2)
		for range 2 {
			for _, c := range chosen {
				floats.AddScaled(row, -floats.Dot(c, row), c)
			}
		}
		left := floats.Norm(row, 2)
		if left <= 1e-6*length || left == 0 {
			continue
		}
		floats.Scale(1/left, row)
		chosen = append(chosen, row)
		v.basis, v.inBasis[i] = append(v.basis, i), true
		if len(v.basis) == p {
			return true
		}
	}
	return false
}

// plane gives the coefficients through the basis and the inverse of its rows.
func (v *vertexSearch) plane(y []float64) (b []float64, inverse *mat.Dense) {
	p := len(v.basis)
	rows, heights := mat.NewDense(p, p, nil), mat.NewVecDense(p, nil)
	for k, i := range v.basis {
		rows.SetRow(k, v.d.Row(i))
		heights.SetVec(k, y[i])
	}
	inverse = mat.NewDense(p, p, nil)
	_ = inverse.Inverse(rows) // the basis is independent by construction
	b = make([]float64, p)
	solution := mat.NewVecDense(p, b)
	_ = solution.SolveVec(rows, heights)
	return b, inverse
}

// descend moves along the steepest edge, past observations as long as the loss falls, until no edge leads down.
func (v *vertexSearch) descend() bool {
	n, p := len(v.y), len(v.basis)
	for range 50 * (n + p) {
		b, inverse := v.plane(v.y)
		residuals := v.d.times(b)
		pull := make([]float64, n) // tau above the plane, tau - 1 below
		for i := range residuals {
			residuals[i] = v.y[i] - residuals[i]
			switch {
			case v.inBasis[i]:
			case residuals[i] < 0:
				pull[i] = v.tau - 1
			default:
				pull[i] = v.tau
			}
		}
		gradient := make([]float64, p)
		for j, c := range v.d.columns {
			gradient[j] = floats.Dot(c, pull)
		}
		leaving, side, slope := -1, 1.0, -1e-12*float64(n)
		for k := range p {
			var along float64
			for j := range p {
				along += inverse.At(j, k) * gradient[j]
			}
			if s := 1 - v.tau - along; s < slope {
				leaving, side, slope = k, 1, s
			}
			if s := v.tau + along; s < slope {
				leaving, side, slope = k, -1, s
			}
		}
		if leaving < 0 {
			return true
		}
		direction := make([]float64, p)
		for j := range p {
			direction[j] = side * inverse.At(j, leaving)
		}
		entering := v.farthest(v.d.times(direction), residuals, slope)
		if entering < 0 {
			return false
		}
		v.inBasis[v.basis[leaving]], v.inBasis[entering] = false, true
		v.basis[leaving] = entering
	}
	return false
}

// farthest is the observation at which the loss stops falling along a direction that lowers residuals by rise.
func (v *vertexSearch) farthest(rise, residuals []float64, slope float64) int {
	type stop struct {
		at   float64
		turn float64
		i    int
	}
	var stops []stop
	for i, r := range rise {
		if !v.inBasis[i] && r != 0 && residuals[i]/r > 0 {
			stops = append(stops, stop{residuals[i] / r, math.Abs(r), i})
		}
	}
	slices.SortFunc(stops, func(a, b stop) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.i, b.i)) })
	for _, s := range stops {
		if slope += s.turn; slope >= 0 {
			return s.i
		}
	}
	return -1
}

// sidesHold says that no observation changed sides between the outcomes moved apart and those given.
func (v *vertexSearch) sidesHold(y, b []float64, rounding float64) bool {
	moved, _ := v.plane(v.y)
	given, apart := v.d.times(b), v.d.times(moved)
	for i := range y {
		residual := y[i] - given[i]
		if !v.inBasis[i] && math.Abs(residual) > rounding && residual*(v.y[i]-apart[i]) < 0 {
			return false
		}
	}
	return true
}
