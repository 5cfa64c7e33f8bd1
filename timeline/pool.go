package timeline

import (
	"errors"
	"math"
)

// ErrPool is returned when there is no count to pool, or one without a density above 0 or without cells.
var ErrPool = errors.New("pooling counts needs at least one, each with a density above 0 and the cells counted")

// Pool joins the counts of several images of one eye into the count that their cells would give together.
//
// Cells are summed; the density is all cells over all area, sum n / sum (n/d). The coefficient of variation is that of
// all cell areas: with a = 1/d, A = sum (n a)/N and s = CV a, its variance is
// (sum (n-1) s^2 + sum n (a - A)^2)/(N - 1); nil unless every count has one. Source: arithmetic (sums of squares within
// and between groups).
func Pool(counts []Count) (Count, error) {
	if len(counts) == 0 {
		return Count{}, ErrPool
	}
	cells, area, known := 0, 0.0, true
	for _, c := range counts {
		if !positive(c.Density) || c.Cells == nil || *c.Cells <= 0 {
			return Count{}, ErrPool
		}
		cells += *c.Cells
		area += float64(*c.Cells) / c.Density
		known = known && c.CV != nil
	}
	pooled := Count{Density: float64(cells) / area, Cells: &cells, Images: pointTo(len(counts))}
	if !known {
		return pooled, nil
	}
	mean := area / float64(cells)
	squares := 0.0
	for _, c := range counts {
		cv, err := NormaliseCV(*c.CV)
		if err != nil {
			return Count{}, err
		}
		n, a := float64(*c.Cells), 1/c.Density
		squares += (n-1)*cv*cv*a*a + n*(a-mean)*(a-mean)
	}
	if cells > 1 {
		pooled.CV = pointTo(math.Sqrt(squares/float64(cells-1)) / mean)
	}
	return pooled, nil
}
