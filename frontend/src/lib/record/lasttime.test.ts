import { expect, test } from 'vitest';
import type { Operation } from '../api/types';
import { asLast, lastBefore, offered, take } from './lasttime';

const planned = { techniquePlanned: 'phaco', techniquePerformed: 'phaco' } as const;
const last: Operation = { ...planned, anaesthesia: 'sub-tenon', ovds: ['cohesive'], incisionSize: 2.4, cde: 9 };

test('only what is unknown here and known there is offered, and never a measurement', () => {
  expect(offered(planned, last, [])).toEqual(['anaesthesia', 'incisionSize', 'ovds']);
  expect(offered({ ...planned, anaesthesia: 'topical', ovds: [] }, last, [])).toEqual(['incisionSize', 'ovds']);
  expect(offered(planned, last, ['ovds', 'anaesthesia'])).toEqual(['incisionSize']);
  expect(offered(planned, undefined, [])).toEqual([]);
});

test('what is taken is a copy', () => {
  const now: Operation = { ...planned };
  take(now, last, 'ovds');
  now.ovds?.push('dispersive');
  expect(last.ovds).toEqual(['cohesive']);
});

test('a field that says the same is marked, an unknown one is not', () => {
  expect(asLast({ ...planned, incisionSize: 2.4 }, last, 'incisionSize')).toBe(true);
  expect(asLast({ ...planned, incisionSize: 2.2 }, last, 'incisionSize')).toBe(false);
  expect(asLast(planned, { ...planned }, 'lensKind')).toBe(false);
});

test('the last case is the newest that is neither this one nor after it', () => {
  const list = [
    { id: 'a', date: '2026-03-05' },
    { id: 'b', date: '2026-03-02' },
    { id: 'c', date: '2026-03-03' },
  ];
  expect(lastBefore(list, 'c', '2026-03-03')?.id).toBe('b');
  expect(lastBefore(list, 'x', '')?.id).toBe('a');
  expect(lastBefore(list, 'x', '2026-03-01')).toBeUndefined();
  expect(lastBefore([...list, { id: 'd', date: '2026-03-05' }], 'x', '')?.id).toBe('d');
});
