import { expect, test } from 'vitest';
import type { InboxEntry } from '../../lib/api/inbox';
import { grouped, itemOf } from './inbox';

const kinds = [
  { kind: 'capsule-rupture', name: 'Capsule rupture', what: '', why: '' },
  { kind: 'vitreous-loss', name: 'Vitreous loss', what: '', why: '' },
];
const entry = (
  id: string,
  number: number,
  kind: string,
  raisedAt: number,
  change: Partial<InboxEntry> = {},
): InboxEntry => ({
  id,
  number,
  kind,
  raisedAt,
  label: `Case ${number}`,
  reason: 'why',
  state: 'waiting',
  technique: 'phaco',
  eye: 'OD',
  nuclearGrade: null,
  ...change,
});

test('the reasons of a case stand together, the longest waiting case first', () => {
  const groups = grouped(
    [
      entry('a', 1, 'capsule-rupture', 30),
      entry('b', 1, 'vitreous-loss', 20),
      entry('c', 2, 'vitreous-loss', 10, { nuclearGrade: 4, eye: 'OS' }),
      entry('d', 3, 'vitreous-loss', 1, { state: 'dismissed' }),
    ],
    'waiting',
  );
  expect(groups.map((g) => [g.label, g.entries.map((e) => e.id)])).toEqual([
    ['Case 2', ['c']],
    ['Case 1', ['a', 'b']],
  ]);
  expect(groups.map((g) => g.facts)).toEqual([
    'Phacoemulsification, left eye, nuclear grade 4',
    'Phacoemulsification, right eye',
  ]);
});

test('a case comes onto an agenda with all its reasons, named after them', () => {
  const [group] = grouped(
    [entry('a', 1, 'capsule-rupture', 1), entry('b', 1, 'vitreous-loss', 2), entry('c', 1, 'unheard-of', 3)],
    'waiting',
  );
  if (!group) throw new Error('no group');
  const item = itemOf(group, kinds);
  expect(item).toMatchObject({
    revision: 0,
    place: 0,
    kind: 'case',
    title: 'Capsule rupture, Vitreous loss, unheard-of',
    inboxIds: ['a', 'b', 'c'],
  });
});
