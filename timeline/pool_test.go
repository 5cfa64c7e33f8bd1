package timeline

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

func TestPoolOfTwoImages(t *testing.T) {
	// 60 cells at 2000/mm² fill 0.030 mm², 40 at 2500/mm² fill 0.016 mm²: 100 cells in 0.046 mm². Arithmetic.
	pooled, err := Pool([]Count{{Density: 2000, Cells: pointTo(60)}, {Density: 2500, Cells: pointTo(40)}})
	require.NoError(t, err)
	require.InDelta(t, 100/0.046, pooled.Density, 1e-9)
	require.Equal(t, 100, *pooled.Cells)
	require.Equal(t, 2, *pooled.Images)
	require.Nil(t, pooled.CV)
}

// drawCells are cell areas in um2 of one image; two at least, so that they have a variance.
var drawCells = rapid.SliceOfN(rapid.Float64Range(100, 900), 2, 60)

// Source of the expected values: mean and standard deviation of all areas in one list, by gonum (a general-purpose
// library outside this project).
func TestPoolIsTheCountOfAllCells(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []float64
		var counts []Count
		for _, areas := range rapid.SliceOfN(drawCells, 1, 5).Draw(t, "images") {
			all = append(all, areas...)
			mean, deviation := stat.MeanStdDev(areas, nil)
			cv := deviation / mean
			if cv == 0 {
				cv = 1e-12
			}
			counts = append(counts, Count{Density: DensityFromArea(mean), Cells: pointTo(len(areas)), CV: &cv})
		}
		pooled, err := Pool(counts)
		if err != nil {
			t.Skip("a coefficient of variation above 1")
		}
		mean, deviation := stat.MeanStdDev(all, nil)
		require.InEpsilon(t, DensityFromArea(mean), pooled.Density, 1e-9)
		require.Equal(t, len(all), *pooled.Cells)
		require.InDelta(t, deviation/mean, *pooled.CV, 1e-9)
	})
}

func TestPoolLiesBetweenItsImages(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low, high := math.Inf(1), math.Inf(-1)
		var counts []Count
		for range rapid.IntRange(1, 6).Draw(t, "images") {
			density := rapid.Float64Range(400, 4000).Draw(t, "density")
			low, high = min(low, density), max(high, density)
			counts = append(counts, Count{Density: density, Cells: pointTo(rapid.IntRange(1, 300).Draw(t, "cells"))})
		}
		pooled, err := Pool(counts)
		require.NoError(t, err)
		require.GreaterOrEqual(t, pooled.Density, low-1e-6)
		require.LessOrEqual(t, pooled.Density, high+1e-6)
	})
}

func TestPoolRefuses(t *testing.T) {
	for name, counts := range map[string][]Count{
		"none":       nil,
		"no density": {{Cells: pointTo(10)}},
		"no cells":   {{Density: 2000}},
		"zero cells": {{Density: 2000, Cells: pointTo(0)}},
	} {
		_, err := Pool(counts)
		require.ErrorIs(t, err, ErrPool, name)
	}
	_, err := Pool([]Count{{Density: 2000, Cells: pointTo(10), CV: pointTo(3.0)}})
	require.ErrorIs(t, err, ErrCV)
}
