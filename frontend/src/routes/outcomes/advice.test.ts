import { describe, expect, test } from 'vitest';
import { adviceOn } from './advice';
import { choices, definition, result } from './outcomes.fixture';
import { everybody } from './question';

const nothing = (by: Parameters<typeof result>[0] = {}) =>
  result({ relations: [], n: 9, why: 'Everything is known of 9 cases; nothing is modelled under 20.', ...by });

describe('where nothing is modelled', () => {
  test('a question about a part of the unit is widened, and keeps the technique', () => {
    const population = { ...everybody, technique: 'phaco', from: '2026-01-01', operator: 'me', gradeFrom: 4 };
    const [first] = adviceOn(nothing({ definition: definition({ population }) }), choices());
    expect(first?.ask?.population).toEqual({ ...everybody, technique: 'phaco' });
  });

  test('the factor that costs most cases is left out', () => {
    const advice = adviceOn(nothing(), choices()).find((a) => a.action === 'Leave out guttata');
    expect(advice?.text).toContain('10 cases');
    expect(advice?.ask?.adjust).toEqual(['nuclearGrade']);
  });

  test('another visit is named only when it is known of more cases', () => {
    const early = definition({ outcome: { kind: 'loss', window: 'week-1', complication: '' } });
    expect(adviceOn(nothing({ definition: early, fellOut: [] }), choices())[0]?.ask?.outcome.window).toBe('month-1');
    expect(adviceOn(nothing({ fellOut: [] }), choices())).toEqual([]);
  });

  test('a complication that happened more often is named', () => {
    const rare = definition({ outcome: { kind: 'complication', window: '', complication: 'uveitis' } });
    const [first] = adviceOn(nothing({ definition: rare, fellOut: [] }), choices());
    expect(first?.text).toBe('Capsule rupture is recorded in 14 cases.');
    expect(first?.ask?.outcome.complication).toBe('capsule-rupture');
  });

  test('what is too rare to be modelled is not named', () => {
    const rare = definition({ outcome: { kind: 'complication', window: '', complication: 'uveitis' } });
    const few = choices().outcomes.map((o) => ({
      ...o,
      complications: o.complications.map((c) => ({ ...c, events: c.code === 'uveitis' ? 3 : 9 })),
    }));
    expect(adviceOn(nothing({ definition: rare, fellOut: [] }), choices({ outcomes: few }))).toEqual([]);
  });

  test('what can still be recorded is led to', () => {
    const fellOut = [
      { reason: 'The recording is not tagged, or no reading is accepted.', cases: 11 },
      { reason: 'There is no visit of that window.', cases: 33 },
      { reason: 'There is no endothelial count at the visit.', cases: 6 },
    ];
    const advice = adviceOn(nothing({ fellOut }), choices());
    expect(advice.map((a) => [a.to, a.text])).toEqual([
      ['/cases?state=to-tag', '11 cases fell out because the recording is not tagged.'],
      ['/follow-up', '39 cases fell out for want of a figure at the visit.'],
    ]);
  });
});
