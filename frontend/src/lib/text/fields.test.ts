import { expect, test } from 'vitest';
import { Problem } from '../api/problem';
import { fieldName, fieldSentence, refusalText, valueText } from './fields';

test('fields have names, also in lists', () => {
  expect(fieldName('before.exam.density')).toBe('Cell density before');
  expect(fieldName('steps[22].begins')).toBe('Step 23, what begins it,');
  expect(fieldName('eventKinds[0].key')).toBe('Event 1, key,');
  expect(fieldName('steps[2]')).toBe('Step 3');
  expect(fieldName('operators[1].userId')).toBe('An operator');
  expect(fieldName('never.heard')).toBe('never.heard');
  expect(fieldName('before.fellowEye.exam.density')).toBe('Cell density, fellow eye');
  expect(fieldName('exam.imageCounts[1].cells')).toBe('Image 2, cells counted');
  expect(fieldName('operation.settings[0].flow')).toBe('Settings 1, flow (ml/min)');
});

test('a message becomes a sentence once, and a whole sentence stays', () => {
  expect(fieldSentence('Age', 'must lie between 0 and 120 years')).toBe('Age must lie between 0 and 120 years.');
  expect(fieldSentence('Age', 'Not saved: type a number.')).toBe('Not saved: type a number.');
  expect(fieldSentence('Age', '')).toBe('');
});

test('a refusal names each of its fields, or says what the server says', () => {
  const fields = [
    { field: 'date', message: 'lies in the future' },
    { field: 'exam.cells', message: 'must lie between 1 and 20000 cells' },
  ];
  expect(refusalText(new Problem(422, { detail: 'x', fields }))).toBe(
    'Date lies in the future. Cells counted must lie between 1 and 20000 cells.',
  );
  expect(refusalText(new Problem(409, { detail: 'Somebody else changed it.' }))).toBe('Somebody else changed it.');
});

test('values in words', () => {
  const name = (id: string) => ({ u1: 'Ada', u2: 'Ben' })[id] ?? '?';
  expect(valueText('before.age', undefined, name)).toBe('unknown');
  expect(valueText('before.glaucoma', 'no', name)).toBe('No');
  expect(valueText('eye', 'OD', name)).toBe('Right eye (OD)');
  expect(valueText('date', '2026-03-04', name)).toBe('4 Mar 2026');
  expect(valueText('operators', [{ userId: 'u1', role: 'operator', grade: 'fellow' }], name)).toBe(
    'Ada (operator, fellow)',
  );
  expect(valueText('sharedWith', [], name)).toBe('nobody');
  expect(valueText('before.exam', { density: 2400, cells: 100 }, name)).toBe('Cell density 2400, Cells counted 100');
});

test('values of several parts, and lists of them, in words', () => {
  const name = (id: string) => id;
  expect(valueText('operation.ovds', ['dispersive', 'cohesive'], name)).toBe('Dispersive, Cohesive');
  expect(valueText('operation.ovds', [], name)).toBe('unknown');
  expect(valueText('operation.pupilDevice', 'none', name)).toBe('None');
  expect(valueText('operation.lensPosition', 'none', name)).toBe('No lens');
  expect(valueText('operation.settings', [{ stage: 'nucleus', vacuum: 400 }], name)).toBe(
    'stage Nucleus, vacuum (mmHg) 400',
  );
  expect(
    valueText(
      'exam.imageCounts',
      [
        { density: 2400, cells: 40 },
        { density: 2300, cells: 50 },
      ],
      name,
    ),
  ).toBe('density 2400, cells counted 40; density 2300, cells counted 50');
  expect(valueText('refraction', { sphere: -1, cylinder: -0.5, axis: 90 }, name)).toBe(
    'Sphere (D) -1, Cylinder (D) -0.5, Axis (°) 90',
  );
  expect(valueText('before.fellowEye', { operated: 'yes', exam: { density: 2400 } }, name)).toBe(
    'Fellow eye operated Yes, Endothelial exam of the fellow eye Cell density 2400',
  );
  expect(valueText('lostToFollowUp', { on: '2026-03-04', reason: 'moved' }, name)).toBe(
    'Lost to follow-up since 4 Mar 2026, Why lost to follow-up moved',
  );
});

test('the plan of follow-up is named and told by its visits', () => {
  expect(fieldName('windows[1].lateDays')).toBe('Visit 2, overdue after day');
  const plan = [{ window: 'day-1', dueDays: 1, lateDays: 7, required: true }];
  expect(valueText('windows', plan, String)).toBe('visit Day 1, due from day 1, overdue after day 7, required Yes');
});
