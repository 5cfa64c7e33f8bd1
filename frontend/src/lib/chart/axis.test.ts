import { describe, expect, test } from 'vitest';
import { type AxisKind, domainOf, makeAxis } from './axis';

describe('domain', () => {
  test('a log axis spans its least ratio round a single value', () => {
    const [low, high] = domainOf([60_000], 'time');
    expect(high / low).toBeGreaterThanOrEqual(4);
    expect(Math.sqrt(low * high)).toBeCloseTo(60_000, 6);
  });
  test('what a log scale has no place for is left out', () => {
    expect(domainOf([0, -5, Number.NaN, 1000, 8000], 'time')).toEqual([1000 / 1.12, 8000 * 1.12]);
  });
  test('ratios always show half to double', () => expect(domainOf([1], 'ratio')).toEqual([0.5, 2]));
  test.each<[AxisKind, [number, number]]>([
    ['linear', [0, 1]],
    ['percent', [0, 1]],
    ['time', [1, 4]],
  ])('nothing to show on %s', (kind, domain) => expect(domainOf([], kind)).toEqual(domain));
  test('one value on a linear axis has room', () => {
    const [low, high] = domainOf([5], 'linear');
    expect(low).toBeLessThan(5);
    expect(high).toBeGreaterThan(5);
  });
});

describe('axis', () => {
  test('equal ratios are equal distances', () => {
    const { at } = makeAxis({ kind: 'time', label: '', domain: [10_000, 160_000] }, [0, 400]);
    expect(at(20_000) - at(10_000)).toBeCloseTo(100, 9);
    expect(at(160_000) - at(80_000)).toBeCloseTo(100, 9);
  });
  test('values are written as people say them, none near another', () => {
    const { ticks } = makeAxis({ kind: 'time', label: '', domain: [4000, 700_000] }, [0, 600]);
    expect(ticks.map((t) => t.text)).toEqual(['0:05', '0:10', '0:20', '0:30', '1:00', '2:00', '5:00', '10:00']);
    for (let i = 1; i < ticks.length; i++) {
      expect((ticks[i]?.at ?? 0) - (ticks[i - 1]?.at ?? 0)).toBeGreaterThanOrEqual(46);
    }
  });
  test('a linear axis keeps even distances and its 0', () => {
    const { ticks } = makeAxis({ kind: 'linear', label: '', domain: [-4.1, 4.6] }, [232, 28], 26);
    expect(ticks.map((t) => t.text)).toContain('0');
    const steps = ticks
      .slice(1)
      .map((t, i) => Number(t.text.replace('−', '-')) - Number(ticks[i]?.text.replace('−', '-')));
    expect(new Set(steps).size).toBe(1);
    expect(ticks.length).toBeLessThanOrEqual(7);
  });
  test('1 stays on a narrow axis of ratios', () => {
    const { ticks } = makeAxis({ kind: 'ratio', label: '', domain: [0.5, 2] }, [0, 60]);
    expect(ticks.map((t) => t.text)).toContain('1');
  });
  test('what lies outside stands at the end', () => {
    const { at } = makeAxis({ kind: 'ratio', label: '', domain: [0.2, 5] }, [0, 100]);
    expect([at(0.01), at(900)]).toEqual([0, 100]);
  });
});
