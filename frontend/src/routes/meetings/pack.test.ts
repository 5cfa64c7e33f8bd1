import { expect, test } from 'vitest';
import type { Moment, Pack } from '../../lib/api/meeting';
import { filled, offered, rowsFor, swapped } from './pack';

const moment = (id: string, ms: number, part = 1): Moment => ({ id, part, ms, line: id, step: '', clock: '0:01' });
const pack = (change: Partial<Pack>): Pack => ({
  situation: '',
  background: '',
  assessment: '',
  recommendation: '',
  moments: [],
  ...change,
});
const drawn = pack({ situation: 'S', background: 'B', moments: [moment('x', 1000), moment('y', 9000)] });

test('composing fills what is empty and replaces nothing that is written', () => {
  const next = filled(pack({ situation: 'Mine', moments: [moment('own', 1300)] }), drawn);
  expect(next).toEqual(pack({ situation: 'Mine', background: 'B', moments: [moment('own', 1300)] }));
  expect(filled(pack({}), drawn).moments.map((m) => [m.id, m.clock])).toEqual([
    ['x', ''],
    ['y', ''],
  ]);
});

test('what the record says otherwise is offered', () => {
  const offer = offered(
    pack({
      situation: 'Mine',
      background: ' B ',
      assessment: 'Mine',
      moments: [moment('own', 1300), moment('far', 9000, 2)],
    }),
    drawn,
  );
  expect(offer.texts).toEqual([{ code: 'situation', name: 'Situation', text: 'S' }]);
  expect(offer.moments.map((m) => m.id)).toEqual(['y']);
});

test('moments swap places and stay within the list', () => {
  const ids = (moments: Moment[]) => moments.map((m) => m.id).join('');
  const abc = [moment('a', 1), moment('b', 2), moment('c', 3)];
  expect(ids(swapped(abc, 1, -1))).toBe('bac');
  expect(ids(swapped(abc, 1, 1))).toBe('acb');
  expect(ids(swapped(abc, 2, 1))).toBe('abc');
});

test('a field is as high as its text, within bounds', () => {
  expect([rowsFor(''), rowsFor('a\nb\nc'), rowsFor('x'.repeat(200)), rowsFor('a\n'.repeat(50))]).toEqual([2, 3, 3, 10]);
});
