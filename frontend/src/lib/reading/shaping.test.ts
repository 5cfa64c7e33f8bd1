import { describe, expect, it } from 'vitest';
import { act, at, desk, sheet } from './desk.fixture';
import { isRefusal } from './history';
import { endStep, startStep } from './marking';
import { mergeNext, moveBoundary, nudge, relabel, removeItem, setLength, split } from './shaping';

function two() {
  const d = desk();
  act(d, startStep(d, 'side-port', at(10)));
  act(d, startStep(d, 'rhexis', at(20)));
  act(d, endStep(d, at(40)));
  const [first, second] = [...d.items.markers.values()].map((m) => m.id) as [string, string];
  return { d, first, second };
}

describe('boundaries', () => {
  it('move together where two steps touch, or alone when asked', () => {
    const { d, first, second } = two();
    act(d, moveBoundary(d, second, 'start', at(25)));
    expect(sheet(d)).toEqual(['side-port 10-25', 'rhexis 25-40']);
    act(d, moveBoundary(d, first, 'end', at(22), true));
    expect(sheet(d)).toEqual(['side-port 10-22', 'rhexis 25-40']);
  });

  it('leave every step at least one frame', () => {
    const { d, first, second } = two();
    expect(isRefusal(moveBoundary(d, first, 'end', at(10.02)))).toBe(true);
    expect(isRefusal(moveBoundary(d, second, 'start', at(10)))).toBe(true);
    act(d, moveBoundary(d, second, 'start', at(10.04)));
    expect(sheet(d)[0]).toBe('side-port 10-10.04');
  });

  it('move by frames', () => {
    const { d, second } = two();
    act(d, nudge(d, second, 'end', -3));
    expect(sheet(d)[1]).toBe('rhexis 20-39.88');
  });

  it('follow an edited length', () => {
    const { d, first } = two();
    act(d, setLength(d, first, 12_000));
    expect(sheet(d)).toEqual(['side-port 10-22', 'rhexis 22-40']);
    expect(isRefusal(setLength(d, first, 9_000_000))).toBe(true);
  });
});

describe('episodes', () => {
  it('are relabelled, split, merged and removed', () => {
    const { d, second } = two();
    act(d, relabel(d, second, 'ovd', { id: 'phaco', version: 1 }));
    act(d, split(d, second, at(30)));
    expect(sheet(d)).toEqual(['side-port 10-20', 'ovd 20-30', 'ovd 30-40']);
    act(d, mergeNext(d, second));
    expect(sheet(d)).toEqual(['side-port 10-20', 'ovd 20-40']);
    act(d, removeItem(d, 'marker', second));
    expect(sheet(d)).toEqual(['side-port 10-20']);
  });

  it('are not split outside themselves nor merged with nothing', () => {
    const { d, second } = two();
    expect(isRefusal(split(d, second, at(20)))).toBe(true);
    expect(isRefusal(split(d, second, at(41)))).toBe(true);
    expect(isRefusal(mergeNext(d, second))).toBe(true);
  });
});
