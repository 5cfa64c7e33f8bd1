// What the keys and buttons of the room do: the next slide, the film, another item.
import type { Place } from '../../../lib/api/meeting';
import { expectedMs } from './drift';
import { itemFrom, onFrom, placeOf, type Slide } from './slides';

export type Move = 'next' | 'back' | 'play' | 'jump-back' | 'jump-on' | 'next-item' | 'last-item' | 'again';

/** The keys of each move; the first is shown. Those of a hand-held pointer (page down, page up) are among them. */
export const moves: readonly { move: Move; name: string; keys: readonly string[] }[] = [
  { move: 'next', name: 'Next', keys: ['ArrowRight', 'PageDown'] },
  { move: 'back', name: 'Back', keys: ['ArrowLeft', 'PageUp'] },
  { move: 'play', name: 'Play or pause', keys: ['Space'] },
  { move: 'jump-back', name: '5 s back', keys: ['Shift+ArrowLeft'] },
  { move: 'jump-on', name: '5 s on', keys: ['Shift+ArrowRight'] },
  { move: 'again', name: 'Again', keys: ['Backspace'] },
  { move: 'last-item', name: 'Item back', keys: ['Ctrl+ArrowLeft', 'Alt+ArrowUp'] },
  { move: 'next-item', name: 'Item on', keys: ['Ctrl+ArrowRight', 'Alt+ArrowDown'] },
];

const jump = 5000;

/** Where a move leads from a slide and its place; undefined when it leads nowhere. serverNow is Unix ms on the server. */
export function moved(
  move: Move,
  slides: readonly Slide[],
  slide: Slide | undefined,
  place: Place | undefined,
  serverNow: number,
): Place | undefined {
  const to =
    move === 'next'
      ? onFrom(slides, slide, 1)
      : move === 'back'
        ? onFrom(slides, slide, -1)
        : move === 'next-item'
          ? itemFrom(slides, slide, 1)
          : move === 'last-item'
            ? itemFrom(slides, slide, -1)
            : undefined;
  if (to) return placeOf(to);
  const part = slide?.item.recording.find((p) => p.part === place?.part);
  if (!slide?.moment || !place || !part?.playable) return undefined;
  const ms = Math.round(expectedMs(place, serverNow, part.duration));
  if (move === 'play')
    return { ...place, ms: !place.playing && ms >= part.duration ? slide.moment.ms : ms, playing: !place.playing };
  if (move === 'again') return { ...place, ms: slide.moment.ms };
  if (move === 'jump-back') return { ...place, ms: Math.max(0, ms - jump) };
  if (move === 'jump-on') return { ...place, ms: Math.min(part.duration, ms + jump) };
  return undefined;
}
