import { expect, test } from 'vitest';
import type { EndothelialExam } from '../api/types';
import { holdsSomething, pool, pooledText, withImages } from './images';

test('density is all cells over all area', () => {
  const pooled = pool([
    { density: 2000, cells: 100 },
    { density: 2500, cells: 50 },
  ]);
  // 100 cells on 0.05 mm² and 50 on 0.02 mm²: 150 on 0.07 mm².
  expect(pooled?.cells).toBe(150);
  expect(pooled?.density).toBeCloseTo(150 / 0.07, 9);
  expect(pooled?.cv).toBeUndefined();
});

test('variation of the images taken together is that of all their cells', () => {
  const areas = [
    [400, 500, 600],
    [300, 420, 480, 520],
  ];
  const about = (values: number[]) => {
    const mean = values.reduce((a, b) => a + b, 0) / values.length;
    const variance = values.reduce((a, b) => a + (b - mean) ** 2, 0) / values.length;
    return { cells: values.length, density: 1e6 / mean, cv: Math.sqrt(variance) / mean };
  };
  const [all, pooled] = [about(areas.flat()), pool(areas.map(about))];
  expect(pooled?.density).toBeCloseTo(all.density, 6);
  expect(pooled?.cv).toBeCloseTo(all.cv, 9);
});

test('alike images pool to themselves; a lacking figure pools to nothing', () => {
  const image = { density: 2400, cells: 40, cv: 0.3 };
  expect(pool([image, image])?.cv).toBeCloseTo(0.3, 9);
  expect(pool([image, { density: 2400, cells: 0 }])).toBeUndefined();
  expect(pool([])).toBeUndefined();
});

test('what was entered otherwise is told', () => {
  const imageCounts = [
    { density: 2400, cells: 40, cv: 0.3 },
    { density: 2400, cells: 50, cv: 0.3 },
  ];
  expect(pooledText({ density: 0, imageCounts }).text).toBe('Together 2400 cells/mm² from 90 cells, CV 30 %.');
  const exam: EndothelialExam = { density: 2600, cells: 90, cv: 0.35, imageCounts };
  expect(pooledText(exam)).toEqual({
    text: 'Together 2400 cells/mm² from 90 cells, CV 30 %. Entered otherwise: density, CV. What was entered counts.',
    differs: true,
  });
  expect(pooledText({ density: 2400 }).text).toBe('');
});

test('more images pool anew, unless a person entered the figure', () => {
  const [a, b] = [
    { density: 2400, cells: 40, cv: 0.3 },
    { density: 2000, cells: 50, cv: 0.25 },
  ] as const;
  const stored: EndothelialExam = { density: 2400, cells: 40, cv: 0.3, images: 1, imageCounts: [a], instrument: 'X' };
  expect(withImages(stored, [a, b])).toEqual({ density: 0, imageCounts: [a, b], instrument: 'X' });
  expect(withImages({ ...stored, density: 2650 }, [a, b])?.density).toBe(2650);
  expect(withImages(undefined, [a])).toEqual({ density: 0, imageCounts: [a] });
  expect(withImages({ density: 2400, cells: 40, cv: 0.3, images: 1, imageCounts: [a] }, [])).toBeUndefined();
});

test('an exam without a figure is none', () => {
  expect(holdsSomething({ density: 0 })).toBe(false);
  expect(holdsSomething({ density: 0, hexagonality: 0 })).toBe(true);
  expect(holdsSomething({ density: 0, instrument: 'X' })).toBe(true);
});
