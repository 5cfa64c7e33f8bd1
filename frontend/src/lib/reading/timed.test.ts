import { describe, expect, it } from 'vitest';
import { durations } from '../timeline/durations';
import { act, at, desk, phaco } from './desk.fixture';
import { endStep, startStep } from './marking';
import { addEvent } from './noting';
import { timedInput } from './timed';

describe('the reading as the timeline sees it', () => {
  it('gives an unnamed operator the lead of the case, and absent steps a warning', () => {
    const d = desk();
    act(d, startStep(d, 'side-port', at(10)));
    act(d, endStep(d, at(25)));
    const result = durations(timedInput(d, []));
    expect(result.operation).toMatchObject({ time: 15_000, operators: [{ operator: 'me', total: 15_000 }] });
    expect(result.warnings.map((w) => w.step)).toContain('rhexis');
  });

  it('requires after a conversion only what both lists require', () => {
    const d = desk();
    act(d, addEvent(d, 'conversion', at(100), { id: 'msics', version: 1 }));
    const required = timedInput(d, []).steps.filter((s) => s.required);
    expect(required.map((s) => s.code)).toEqual(['rhexis', 'lens']);
  });

  it('keeps what is required when a marker names another version of the same list', () => {
    const d = desk();
    const second = {
      ...phaco,
      version: 2,
      steps: [...phaco.steps, { ...phaco.steps[0], code: 'ring', name: 'ring' } as never],
    };
    d.lists = [...d.lists, second];
    act(d, startStep(d, 'side-port', at(10)));
    const [marker] = [...d.items.markers.values()];
    d.items.markers.set('x', {
      ...(marker as never as object),
      id: 'x',
      step: 'ring',
      stepList: { id: 'phaco', version: 2 },
    } as never);
    const { steps } = timedInput(d, []);
    expect(steps.find((s) => s.code === 'ring')?.required).toBe(false);
    expect(steps.find((s) => s.code === 'side-port')?.required).toBe(true);
  });
});
