import { describe, expect, it } from 'vitest';
import type { Episode } from '../reading/desk';
import { episodesOf, progressIn, sharedSteps, speedsOf, stretchOf } from './pair';

const parts = [
  { id: 'one', duration: 60_000 },
  { id: 'two', duration: 30_000 },
];

function episode(step: string, from: [string, number], to?: [string, number]): Episode {
  const start = { part: from[0], ms: from[1] };
  const end = to ? { part: to[0], ms: to[1] } : null;
  const marker = { id: step + from[1], seq: 1, step, stepList: { id: 'l', version: 1 }, start, end };
  return { marker, step: undefined, from: from[1], to: to?.[1] ?? Number.POSITIVE_INFINITY };
}

describe('two recordings at the same step', () => {
  const a = [
    episode('capsulorhexis', ['one', 1000], ['one', 21_000]),
    episode('sculpting', ['one', 50_000], ['two', 5000]),
    episode('cortex', ['two', 6000]),
  ];
  const b = [episode('sculpting', ['one', 0], ['one', 30_000]), episode('cortex', ['one', 40_000], ['one', 50_000])];

  it('shares the steps that both have ended, in the order of the first', () => {
    expect(sharedSteps(a, b)).toEqual(['sculpting']);
    expect(sharedSteps(b, a)).toEqual(['sculpting']);
    expect(sharedSteps(a, [])).toEqual([]);
  });

  it('leaves out an episode that is still running', () => {
    expect(episodesOf(a, 'cortex')).toEqual([]);
    expect(episodesOf(b, 'cortex')).toHaveLength(1);
  });

  it('measures a stretch over the boundary of two parts', () => {
    expect(stretchOf(parts, a[1])?.length).toBe(15_000);
    expect(stretchOf(parts, a[0])?.length).toBe(20_000);
    expect(stretchOf(parts, a[2])).toBeUndefined();
    expect(stretchOf([], a[0])).toBeUndefined();
    expect(stretchOf(parts, episode('x', ['two', 5], ['one', 50]))).toBeUndefined();
  });

  it('tells how far a film has come', () => {
    const stretch = stretchOf(parts, a[1]);
    if (!stretch) throw new Error('no stretch');
    expect(progressIn(parts, stretch, { part: 'one', ms: 50_000 })).toBe(0);
    expect(progressIn(parts, stretch, { part: 'two', ms: 5000 })).toBe(1);
    expect(progressIn(parts, stretch, { part: 'one', ms: 55_000 })).toBeCloseTo(1 / 3);
    expect(progressIn(parts, stretch, { part: 'one', ms: 0 })).toBe(0);
    expect(progressIn(parts, stretch, { part: 'two', ms: 20_000 })).toBe(1);
  });

  it('plays each at its own speed, or the shorter one slower', () => {
    expect(speedsOf('own', 2, 10, 40)).toEqual({ a: 2, b: 2, held: false });
    expect(speedsOf('same-length', 1, 20, 40)).toEqual({ a: 0.5, b: 1, held: false });
    const { a: first, b: second } = speedsOf('same-length', 2, 30, 20);
    expect(30 / first).toBeCloseTo(20 / second);
    expect(speedsOf('same-length', 1, 1, 100)).toEqual({ a: 0.25, b: 1, held: true });
    expect(speedsOf('same-length', 1, 0, 100)).toEqual({ a: 1, b: 1, held: false });
  });
});
