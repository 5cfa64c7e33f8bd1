// The parts of a case pack, and what the record adds to one that people have written in.
import type { Moment, Pack } from '../../lib/api/meeting';

export type SectionCode = 'situation' | 'background' | 'assessment' | 'recommendation';

/** In the order situation, background, assessment, recommendation (SBAR), in which clinicians hand over. */
export const sections: readonly { code: SectionCode; name: string; hint: string }[] = [
  { code: 'situation', name: 'Situation', hint: 'what happened, in a sentence or two' },
  { code: 'background', name: 'Background', hint: 'the eye, its risk, how the operation went until then' },
  { code: 'assessment', name: 'Assessment', hint: 'what was found, and what the eye did afterwards' },
  { code: 'recommendation', name: 'Recommendation', hint: 'what the meeting is asked to decide or to think about' },
];

/** What the record says now and the pack does not. */
export interface Offer {
  texts: { code: SectionCode; name: string; text: string }[];
  moments: Moment[];
}

/** Compares a pack with the one that the record gives. A moment counts as there when one stands within half a second of it. */
export function offered(pack: Pack, drawn: Pack): Offer {
  const near = (a: Moment) => (b: Moment) => a.part === b.part && Math.abs(a.ms - b.ms) <= 500;
  return {
    texts: sections
      .filter(({ code }) => drawn[code].trim() && drawn[code].trim() !== pack[code].trim())
      .map(({ code, name }) => ({ code, name, text: drawn[code] })),
    moments: drawn.moments.filter((m) => !pack.moments.some(near(m))),
  };
}

/** The pack with the empty parts filled from the record; what somebody wrote stays. */
export function filled(pack: Pack, drawn: Pack): Pack {
  const next = { ...pack };
  for (const { code } of sections) if (!pack[code].trim()) next[code] = drawn[code];
  if (pack.moments.length === 0) next.moments = drawn.moments.map((m) => ({ ...m, clock: '' }));
  return next;
}

/** Swaps a moment with its neighbour. */
export function swapped(moments: readonly Moment[], at: number, by: number): Moment[] {
  const next = [...moments];
  const [here, there] = [next[at], next[at + by]];
  if (!here || !there) return next;
  next[at] = there;
  next[at + by] = here;
  return next;
}

/** How many lines a text needs to be in view, about; within bounds, so that the page stays in hand. */
export function rowsFor(text: string): number {
  const lines = text.split('\n').reduce((sum, line) => sum + Math.max(1, Math.ceil(line.length / 80)), 0);
  return Math.min(10, Math.max(2, lines));
}
