import { describe, expect, test } from 'vitest';
import type { AgendaItem, MeetingSheet, Moment } from '../../../lib/api/meeting';
import { deck, itemFrom, onFrom, placeOf, slideAt, slideName, slidesOf } from './slides';

const moment = (id: string, part = 1, ms = 61_000): Moment => ({
  id,
  part,
  ms,
  line: `look at ${id}`,
  step: '',
  clock: '',
});
function item(id: string, pack: Partial<AgendaItem['pack']>): AgendaItem {
  return {
    id,
    revision: 1,
    place: 1,
    kind: 'case',
    title: `title ${id}`,
    label: 'Case 3',
    minutes: 10,
    presenterId: '',
    inboxIds: [],
    pack: { situation: '', background: '', assessment: '', recommendation: '', moments: [], ...pack },
    withdrawn: '',
    operators: [],
    recording: [],
    record: {
      revision: 0,
      discussion: '',
      factors: [],
      harm: '',
      preventability: '',
      learning: [],
      writtenBy: '',
      writtenAt: 0,
    },
    votes: [],
  };
}
const whole = item('b', {
  situation: 's',
  background: 'b',
  assessment: 'a',
  recommendation: 'r',
  moments: [moment('m1'), moment('m2', 2, 5000)],
});
const sheet = {
  agenda: [item('a', {}), whole, item('c', { assessment: 'a', recommendation: ' ' })],
} as unknown as MeetingSheet;
const keys = (slides: { key: string }[]) => slides.map((s) => s.key);

describe('slides', () => {
  test('texts stand round the moments, empty ones are left out', () => {
    expect(keys(slidesOf(whole))).toEqual([
      'b/',
      'b/situation',
      'b/background',
      'b/m1',
      'b/m2',
      'b/assessment',
      'b/recommendation',
    ]);
    expect(keys(deck(sheet))).toEqual(['a/', ...keys(slidesOf(whole)), 'c/', 'c/assessment']);
  });

  test('who presents one item is led through that one only', () => {
    expect(keys(deck(sheet, ['c']))).toEqual(['c/', 'c/assessment']);
  });

  test('every slide has a place of its own, and the place leads back to it', () => {
    for (const slide of deck(sheet)) expect(slideAt(sheet, placeOf(slide))?.key).toBe(slide.key);
    expect(placeOf(slidesOf(whole)[4] as never)).toMatchObject({
      itemId: 'b',
      momentId: 'm2',
      slide: '',
      part: 2,
      ms: 5000,
      playing: false,
    });
  });

  test('what was taken out is shown by the opening of its item', () => {
    const at = { ...placeOf(slidesOf(whole)[0] as never), itemId: 'b', momentId: 'gone' };
    expect(slideAt(sheet, at)?.key).toBe('b/');
    expect(slideAt(sheet, { ...at, momentId: '', slide: 'background', itemId: 'c' })?.key).toBe('c/');
    expect(slideAt(sheet, { ...at, itemId: 'gone' })).toBeUndefined();
  });

  test('on and back over the items, and no further than the ends', () => {
    const slides = deck(sheet);
    expect(onFrom(slides, undefined, 1)?.key).toBe('a/');
    expect(onFrom(slides, slides[0], 1)?.key).toBe('b/');
    expect(onFrom(slides, slides[0], -1)).toBeUndefined();
    expect(onFrom(slides, slides.at(-1), 1)).toBeUndefined();
    expect(itemFrom(slides, slides[3], 1)?.key).toBe('c/');
    expect(itemFrom(slides, slides[3], -1)?.key).toBe('a/');
  });

  test('names', () => {
    expect(slidesOf(whole).map(slideName)).toEqual([
      'Case 3: title b',
      'Situation',
      'Background',
      'Moment 1 of 2: look at m1',
      'Moment 2 of 2: look at m2',
      'Assessment',
      'Recommendation',
    ]);
  });
});
