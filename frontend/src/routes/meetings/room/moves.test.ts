import { describe, expect, test } from 'vitest';
import type { AgendaItem } from '../../../lib/api/meeting';
import { type Move, moved } from './moves';
import { placeOf, slidesOf } from './slides';

const item = {
  id: 'i',
  title: 't',
  label: '',
  recording: [{ part: 1, duration: 90_000, width: 0, height: 0, playable: true, reason: '' }],
  pack: {
    situation: 's',
    background: '',
    assessment: '',
    recommendation: '',
    moments: [{ id: 'm', part: 1, ms: 60_000, line: 'l', step: '', clock: '' }],
  },
} as unknown as AgendaItem;
const slides = slidesOf(item);
const film = slides[2];
const at = { ...placeOf(film as never), ms: 61_000, playing: true, at: 1000 };

describe('moves', () => {
  test.each<[Move, number, object | undefined]>([
    ['next', 3000, undefined],
    ['back', 3000, { slide: 'situation', part: 0, ms: 0, playing: false }],
    ['play', 3000, { ms: 63_000, playing: false }],
    ['jump-back', 3000, { ms: 58_000, playing: true }],
    ['jump-on', 3000, { ms: 68_000, playing: true }],
    ['jump-on', 90_000, { ms: 90_000 }],
    ['again', 3000, { ms: 60_000, playing: true }],
    ['next-item', 3000, undefined],
  ])('%s at %i', (move, now, want) => {
    const to = moved(move, slides, film, at, now);
    if (want) expect(to).toMatchObject(want);
    else expect(to).toBeUndefined();
  });

  test('at the end of a part, playing begins at the moment again', () => {
    expect(moved('play', slides, film, { ...at, ms: 90_000, playing: false }, 5000)).toMatchObject({
      ms: 60_000,
      playing: true,
    });
  });

  test('a text has no film, and neither has a part that may not be shown', () => {
    expect(moved('play', slides, slides[1], placeOf(slides[1] as never), 0)).toBeUndefined();
    const unshown = { ...item, recording: [{ ...item.recording[0], playable: false }] } as AgendaItem;
    const still = slidesOf(unshown)[2];
    expect(moved('play', slidesOf(unshown), still, placeOf(still as never), 0)).toBeUndefined();
    expect(moved('back', slidesOf(unshown), still, placeOf(still as never), 0)).toMatchObject({ slide: 'situation' });
  });
});
