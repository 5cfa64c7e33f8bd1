import { expect, test } from 'vitest';
import type { Visit } from '../api/types';
import { atVisit, fieldAddress, fieldOf, inVisit, within } from './path';

test('a part of a field is within it, another field that begins alike is not', () => {
  expect(within('before.exam', 'before.exam')).toBe(true);
  expect(within('before.exam', 'before.exam.density')).toBe(true);
  expect(within('before.exam.imageCounts', 'before.exam.imageCounts[0].cv')).toBe(true);
  expect(within('before.exam', 'before.examiner')).toBe(false);
  expect(within('before.exam.density', 'before.exam')).toBe(false);
});

test('an address leads to the part on which the field stands, and back to the field', () => {
  const of = (field: string) => fieldAddress('c', field);
  expect(of('before.age')).toBe('/cases/c#before.age');
  expect(of('operators')).toBe('/cases/c#operators');
  expect(of('operation.cde')).toBe('/cases/c/operation#operation.cde');
  expect(of('lostToFollowUp.reason')).toBe('/cases/c/follow-up#lostToFollowUp.reason');
  for (const field of ['before.age', 'operation.settings[0].vacuum', 'visits[0198-ab].exam.density', 'visits.acuity']) {
    expect(fieldOf(new URL(of(field), 'http://unit.example').hash)).toBe(field);
  }
});

test('a moment of the recording and what cannot be read are no field', () => {
  for (const hash of ['', '#', '#part=0198&t=12.5', '#t=3', '#%E0%A4%A', '#<script>']) expect(fieldOf(hash)).toBe('');
});

test('the result of an operation is looked for at month 1, else within three months', () => {
  const visit = (id: string, window: Visit['window'], date: string) => ({ id, window, date }) as Visit;
  const day1 = visit('a', 'day-1', '2026-03-02');
  const week1 = visit('b', 'week-1', '2026-03-09');
  const month1 = visit('c', 'month-1', '2026-03-29');
  const find = (field: string, ...visits: Visit[]) => atVisit(field, visits, '2026-03-01');
  expect(find('visits.acuity', day1, week1, month1)).toBe('visits[c].acuity');
  expect(find('visits.refraction', day1, week1)).toBe('visits[b].refraction');
  expect(find('visits.acuity', day1)).toBe('');
  expect(find('visits.acuity')).toBe('');
});

test('a field of a visit is known by itself', () => {
  expect(inVisit('visits[x-1].exam.density')).toEqual({ visitId: 'x-1', field: 'exam.density' });
  expect(inVisit('before.age')).toBeUndefined();
});
