import { expect, test } from 'vitest';
import type { AssessmentForm } from '../../lib/api/teaching';
import type { Operator } from '../../lib/api/types';
import { groupsOf, judgingOf, marksOf, notesWithoutMark, offeredForms, subjectsFor } from './assessing';

const form = (id: string, version: number, by: Partial<AssessmentForm> = {}): AssessmentForm => ({
  id,
  version,
  name: id,
  scale: [
    { value: 1, label: 'with help' },
    { value: 2, label: 'alone' },
  ],
  items: [
    { code: 'a', text: 'Round', step: 'capsulorhexis' },
    { code: 'b', text: 'Centred', step: 'capsulorhexis' },
    { code: 'c', text: 'Calm' },
  ],
  shipped: false,
  retired: false,
  createdAt: 0,
  ...by,
});

test('the newest version of each form is offered, unless it is retired', () => {
  const forms = [
    form('shipped', 1, { shipped: true }),
    form('own', 1),
    form('own', 2),
    form('old', 1),
    form('old', 2, { retired: true }),
  ];
  expect(offeredForms(forms).map((f) => `${f.id} ${f.version}`)).toEqual(['own 2', 'shipped 1']);
});

test('the supervisor assesses everybody, the others themselves, a stranger nobody', () => {
  const operators: Operator[] = [
    { userId: 'boss', role: 'supervisor' },
    { userId: 'help', role: 'assistant' },
    { userId: 'lead', role: 'operator' },
  ];
  expect(subjectsFor(operators, 'boss')).toEqual(['lead', 'help', 'boss']);
  expect(subjectsFor(operators, 'lead')).toEqual(['lead']);
  expect(subjectsFor(operators, 'stranger')).toEqual([]);
});

test('items about one step stand under its name', () => {
  const groups = groupsOf(form('f', 1), (code) => code.toUpperCase());
  expect(groups.map((g) => [g.name, g.items.length])).toEqual([
    ['CAPSULORHEXIS', 2],
    ['The operation as a whole', 1],
  ]);
});

test('what was not seen has no mark, and its note is told of', () => {
  const f = form('f', 1);
  const judging = judgingOf(f, [{ item: 'b', value: 2, note: 'Good.' }]);
  expect(marksOf(f, judging)).toEqual([{ item: 'b', value: 2, note: 'Good.' }]);
  judging.a = { value: undefined, note: 'Camera moved.' };
  judging.c = { value: 1, note: '  ' };
  expect(marksOf(f, judging)).toEqual([
    { item: 'b', value: 2, note: 'Good.' },
    { item: 'c', value: 1 },
  ]);
  expect(notesWithoutMark(f, judging).map((i) => i.code)).toEqual(['a']);
});
