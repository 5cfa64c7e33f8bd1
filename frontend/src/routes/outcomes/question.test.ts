import { describe, expect, test } from 'vitest';
import { choices, definition } from './outcomes.fixture';
import { everybody, firstQuestion, readQuestion, sameQuestion, withOutcome, writeQuestion } from './question';

describe('a question and its address', () => {
  const asked = [
    definition(),
    definition({ adjust: [] }),
    definition({ adjust: ['nuclearGrade', 'age'] }),
    definition({ outcome: { kind: 'complication', window: '', complication: 'capsule-rupture' } }),
    definition({
      exposures: [
        { kind: 'stage', code: 'nucleus', scale: 'doubling' },
        { kind: 'events', code: 'chamber-collapse', scale: 'unit' },
      ],
    }),
    definition({
      population: {
        technique: 'phaco',
        from: '2026-01-01',
        to: '2026-06-30',
        gradeFrom: 2,
        gradeTo: 5,
        operator: 'me',
        withRuptures: true,
      },
    }),
  ];

  test.each(asked.map((d) => [writeQuestion(d), d] as const))('%s leads back to it', (search, d) => {
    expect(readQuestion(search)).toEqual(d);
  });

  test('an address can be read by people', () => {
    expect(writeQuestion(definition())).toBe('?outcome=loss&at=month-1&of=stage:nucleus*2&technique=phaco');
  });

  test.each(['', '?outcome=loss', '?outcome=beauty&of=cde', '?of=cde'])('%s asks nothing', (search) => {
    expect(readQuestion(search)).toBeUndefined();
  });

  test('what is not understood is left out', () => {
    const read = readQuestion('?outcome=loss&at=month-1&of=cde,cde*2,,stage:nucleus&gradeFrom=9&gradeTo=2.5');
    expect(read?.exposures.map((e) => e.kind)).toEqual(['cde', 'stage']);
    expect(read?.population).toEqual(everybody);
  });

  test('the usual factors and none at all are told apart', () => {
    expect(sameQuestion(definition(), definition({ adjust: [] }))).toBe(false);
    expect(sameQuestion(definition(), definition())).toBe(true);
  });
});

describe('the first question', () => {
  test('asks for loss at a month against time at the nucleus', () => {
    expect(firstQuestion(choices())).toEqual(definition());
  });

  test('asks what is known where that is not', () => {
    const few = choices({
      exposures: choices().exposures.map((e) => ({ ...e, n: e.kind === 'operation' ? 90 : 0 })),
      outcomes: choices().outcomes.map((o) => ({
        ...o,
        windows: o.windows.map((w) => ({ ...w, n: o.kind === 'acuity' ? 70 : 3 })),
      })),
    });
    const asked = firstQuestion(few);
    expect(asked?.outcome.kind).toBe('acuity');
    expect(asked?.exposures[0]?.kind).toBe('operation');
  });

  test('is none where there is nothing to choose from', () => {
    expect(firstQuestion(choices({ outcomes: [], exposures: [] }))).toBeUndefined();
    const unknown = choices().exposures.map((e) => ({ ...e, n: 0 }));
    expect(firstQuestion(choices({ exposures: unknown }))).toBeUndefined();
  });
});

describe('another outcome', () => {
  test('keeps the visit where it is known, and takes its own factors', () => {
    const changed = withOutcome(definition({ adjust: ['age'] }), 'acuity', choices());
    expect(changed.outcome).toEqual({ kind: 'acuity', window: 'month-1', complication: '' });
    expect(changed.adjust).toBeNull();
  });

  test('a complication has no visit', () => {
    expect(withOutcome(definition(), 'complication:capsule-rupture', choices()).outcome).toEqual({
      kind: 'complication',
      window: '',
      complication: 'capsule-rupture',
    });
  });
});
