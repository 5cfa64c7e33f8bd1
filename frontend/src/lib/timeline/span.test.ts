import { describe, expect, it } from 'vitest';
import { coverage, intersect, type Span, subtract, union } from './span';

// A small seeded generator: the same spans at every run.
function generator(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 1_664_525 + 1_013_904_223) % 4_294_967_296;
    return state / 4_294_967_296;
  };
}

function randomSpans(random: () => number): Span[] {
  return Array.from({ length: Math.floor(random() * 8) }, () => {
    const start = Math.floor(random() * 60);
    return { start, end: start + Math.floor(random() * 20) - 4 };
  });
}

/** The milliseconds that the spans cover, one by one. */
function grid(spans: readonly Span[]): boolean[] {
  return Array.from({ length: 90 }, (_, ms) => spans.some((s) => s.start <= ms && ms < s.end));
}

describe('spans against a grid of milliseconds', () => {
  it('agrees in 600 random cases', () => {
    const random = generator(20260304);
    for (let i = 0; i < 600; i++) {
      const a = randomSpans(random);
      const b = randomSpans(random);
      const [ga, gb] = [grid(a), grid(b)];
      expect(grid(union(a))).toEqual(ga);
      expect(coverage(a)).toBe(ga.filter(Boolean).length);
      expect(grid(intersect(a, b))).toEqual(ga.map((x, ms) => x && gb[ms]));
      expect(grid(subtract(a, b))).toEqual(ga.map((x, ms) => x && !gb[ms]));
    }
  });

  it('joins spans that touch and leaves out empty ones', () => {
    const spans = [
      { start: 5, end: 7 },
      { start: 1, end: 5 },
      { start: 9, end: 9 },
    ];
    expect(union(spans)).toEqual([{ start: 1, end: 7 }]);
  });
});
