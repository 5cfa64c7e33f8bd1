import { describe, expect, it } from 'vitest';
import { act, at, desk, sheet } from './desk.fixture';
import { isRefusal } from './history';
import { endStep, handOver, nextOperator, operatorAt, startStep } from './marking';
import { addEvent } from './noting';

describe('starting a step', () => {
  it('ends the running one at the same instant, in one edit', () => {
    const d = desk();
    act(d, startStep(d, 'side-port', at(10)));
    const second = act(d, startStep(d, 'main-incision', at(20)));
    expect(second.changes).toHaveLength(2);
    expect(sheet(d)).toEqual(['side-port 10-20', 'main-incision 20-']);
  });

  it('goes on over the boundary of two parts', () => {
    const d = desk();
    act(d, startStep(d, 'side-port', at(590)));
    act(d, startStep(d, 'rhexis', at(5, 'B')));
    expect(sheet(d)).toEqual(['side-port 590-B5', 'rhexis B5-']);
  });

  it('takes the rest of the episode in which it falls', () => {
    const d = desk();
    act(d, startStep(d, 'side-port', at(10)));
    act(d, endStep(d, at(30)));
    act(d, startStep(d, 'ovd', at(20)));
    expect(sheet(d)).toEqual(['side-port 10-20', 'ovd 20-30']);
  });

  it('runs up to the next episode when it falls into a gap', () => {
    const d = desk();
    act(d, startStep(d, 'rhexis', at(60)));
    act(d, startStep(d, 'side-port', at(20)));
    expect(sheet(d)).toEqual(['side-port 20-60', 'rhexis 60-']);
  });

  it('takes the place of an episode that starts at the same frame', () => {
    const d = desk();
    act(d, startStep(d, 'side-port', at(10)));
    expect(act(d, startStep(d, 'ovd', at(10.02))).action).toBe('relabel');
    expect(sheet(d)).toEqual(['ovd 10-']);
  });

  it('refuses a step that is running, and one of another list', () => {
    const d = desk();
    act(d, startStep(d, 'side-port', at(10)));
    expect(startStep(d, 'side-port', at(15))).toEqual({ refused: 'side-port is already running here.' });
    expect(isRefusal(startStep(d, 'tunnel', at(15)))).toBe(true);
  });

  it('toggles a step that may run beside others and leaves the running one alone', () => {
    const d = desk();
    act(d, startStep(d, 'removal', at(10)));
    act(d, startStep(d, 'second', at(20)));
    act(d, startStep(d, 'second', at(30)));
    expect(sheet(d)).toEqual(['removal 10-', 'second 20-30']);
  });

  it('takes the steps of the second list after a conversion', () => {
    const d = desk();
    act(d, addEvent(d, 'conversion', at(100), { id: 'msics', version: 1 }));
    expect(isRefusal(startStep(d, 'tunnel', at(99)))).toBe(true);
    act(d, startStep(d, 'tunnel', at(101)));
    expect([...d.items.markers.values()][0]?.stepList).toEqual({ id: 'msics', version: 1 });
  });
});

describe('ending a step', () => {
  it('ends the running one, and gives back the rest of one that has ended', () => {
    const d = desk();
    act(d, startStep(d, 'side-port', at(10)));
    act(d, endStep(d, at(20)));
    expect(sheet(d)).toEqual(['side-port 10-20']);
    act(d, endStep(d, at(15)));
    expect(sheet(d)).toEqual(['side-port 10-15']);
  });

  it('refuses between steps and at the frame where the step began', () => {
    const d = desk();
    expect(endStep(d, at(5))).toEqual({ refused: 'No step is running here.' });
    act(d, startStep(d, 'side-port', at(10)));
    expect(isRefusal(endStep(d, at(10.03)))).toBe(true);
  });
});

describe('handing over', () => {
  it('splits the running episode and gives what follows to the next operator', () => {
    const d = desk();
    act(d, startStep(d, 'rhexis', at(10)));
    act(d, startStep(d, 'removal', at(20)));
    act(d, handOver(d, at(15), 'trainer'));
    expect(sheet(d)).toEqual(['rhexis 10-15', 'rhexis 15-20 trainer', 'removal 20- trainer']);
    act(d, startStep(d, 'cortex', at(40)));
    expect(sheet(d)[3]).toBe('cortex 40- trainer');
    expect(operatorAt(d, at(41))).toBe('trainer');
  });

  it('stops at the first episode that somebody else has', () => {
    const d = desk();
    act(d, startStep(d, 'side-port', at(10)));
    act(d, startStep(d, 'rhexis', at(20), 'trainer'));
    act(d, startStep(d, 'removal', at(30), 'me'));
    act(d, handOver(d, at(10), 'trainer'));
    expect(sheet(d)).toEqual(['side-port 10-20 trainer', 'rhexis 20-30 trainer', 'removal 30- me']);
  });

  it('goes round the operators of the case', () => {
    const d = desk();
    expect([nextOperator(d, ''), nextOperator(d, 'trainer')]).toEqual(['trainer', 'me']);
    expect(nextOperator({ ...d, operators: ['me'] }, '')).toBeUndefined();
  });
});
