import { expect, test } from 'vitest';
import type { AuditEntry } from '../api/case';
import { fieldChanges } from './history';

const entry = (seq: number, action: string, detail: unknown, thingId = ''): AuditEntry => ({
  seq,
  at: seq * 1000,
  actorId: `u${seq}`,
  action,
  thingId,
  detail: typeof detail === 'string' ? detail : JSON.stringify(detail),
});
const entries = [
  entry(5, 'case.change', [{ field: 'before.age', before: 71, after: 72 }]),
  entry(4, 'visit.change', [{ field: 'pressure', before: 20, after: 12 }], 'v1'),
  entry(3, 'case.change', [
    { field: 'before.glaucoma', before: null, after: 'no' },
    { field: 'operation.cde', before: null, after: 8 },
  ]),
  entry(2, 'case.create', [{ field: 'before.age', before: null, after: 71 }]),
  entry(1, 'case.view', ''),
];

test('changes of the wanted fields, each field with its newest first', () => {
  const found = fieldChanges(entries, 'case', 'c', (f) => f.startsWith('before.'));
  expect(found.map((c) => [c.field, c.before, c.after, c.actorId])).toEqual([
    ['before.age', 71, 72, 'u5'],
    ['before.age', null, 71, 'u2'],
    ['before.glaucoma', null, 'no', 'u3'],
  ]);
});

test('a visit has the changes of its own', () => {
  expect(fieldChanges(entries, 'visit', 'v1', () => true).map((c) => c.field)).toEqual(['pressure']);
  expect(fieldChanges(entries, 'visit', 'v2', () => true)).toEqual([]);
});

test('details of other kinds are passed over', () => {
  const odd = [entry(9, 'case.import', '{"from":1}'), entry(8, 'case.change', 'no JSON'), entry(7, 'case.change', [1])];
  expect(fieldChanges(odd, 'case', 'c', () => true)).toEqual([]);
});
