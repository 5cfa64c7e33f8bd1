package stat

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// collinear is the part of a column's length that must be left beside the earlier columns for it to count as a term of
// its own. Source: our choice; NIST's Wampler and Longley sets, hard on purpose, leave over 1e-6.
const collinear = 1e-9

// orthogonal is X = QR with orthonormal columns q and upper-triangular r.
type orthogonal struct {
	q [][]float64
	r [][]float64 // r[j][k] for j <= k
}

// orthogonalise decomposes the columns, each row multiplied by its root weight if there are any. Each column is cleared of
// the earlier ones twice, which leaves it orthogonal to the last digit. Cost 2 n p^2; memory one copy of the columns.
// Source: Gram-Schmidt with reorthogonalisation; Giraud L, Langou J, Rozloznik M, Comput Math Appl 2005;50:1069-75, from
// memory.
func orthogonalise(d *Design, rootWeights []float64) (orthogonal, error) {
	p := len(d.columns)
	o := orthogonal{q: make([][]float64, p), r: make([][]float64, p)}
	for j := range o.r {
		o.r[j] = make([]float64, p)
	}
	for k, column := range d.columns {
		v := append(make([]float64, 0, d.rows), column...)
		if rootWeights != nil {
			floats.Mul(v, rootWeights)
		}
		length := floats.Norm(v, 2)
		for range 2 {
			for j := range k {
				part := floats.Dot(o.q[j], v)
				floats.AddScaled(v, -part, o.q[j])
				o.r[j][k] += part
			}
		}
		left := floats.Norm(v, 2)
		if !(left > collinear*length) {
			return orthogonal{}, degenerate(RankDeficient, "%s is constant or a combination of the terms before it.", d.Terms[k])
		}
		floats.Scale(1/left, v)
		o.r[k][k], o.q[k] = left, v
	}
	return o, nil
}

// project gives Q'v.
func (o orthogonal) project(v []float64) []float64 {
	parts := make([]float64, len(o.q))
	for j, q := range o.q {
		parts[j] = floats.Dot(q, v)
	}
	return parts
}

// back solves R b = c.
func (o orthogonal) back(c []float64) []float64 {
	b := make([]float64, len(c))
	for j := len(c) - 1; j >= 0; j-- {
		s := c[j]
		for k := j + 1; k < len(c); k++ {
			s -= o.r[j][k] * b[k]
		}
		b[j] = s / o.r[j][j]
	}
	return b
}

// forward solves R'z = c.
func (o orthogonal) forward(c []float64) []float64 {
	z := make([]float64, len(c))
	for j := range c {
		s := c[j]
		for k := range j {
			s -= o.r[k][j] * z[k]
		}
		z[j] = s / o.r[j][j]
	}
	return z
}

// inverse is R^-1, by columns.
func (o orthogonal) inverse() [][]float64 {
	columns := make([][]float64, len(o.r))
	for j := range columns {
		unit := make([]float64, len(o.r))
		unit[j] = 1
		columns[j] = o.back(unit)
	}
	return columns
}

// leverages are the squared row lengths of Q.
func (o orthogonal) leverages() []float64 {
	h := make([]float64, len(o.q[0]))
	for _, q := range o.q {
		for i, v := range q {
			h[i] += v * v
		}
	}
	return h
}

// spread gives the standard errors sqrt(diag(R^-1 M R^-T)) for a symmetric M in the coordinates of Q.
func (o orthogonal) spread(m [][]float64) []float64 {
	inverse := o.inverse()
	se := make([]float64, len(o.r))
	for j := range se {
		row := make([]float64, len(o.r)) // row j of R^-1
		for k := range row {
			row[k] = inverse[k][j]
		}
		var v float64
		for a := range row {
			v += row[a] * floats.Dot(m[a], row)
		}
		se[j] = math.Sqrt(max(0, v))
	}
	return se
}
