// What a line of the list says about how far a case has come.
import type { CaseSummary, ComplicationKind } from '../../lib/api/types';

/** done: over and well; waiting: somebody must act; late: somebody should have. */
export type Tone = 'done' | 'waiting' | 'late';
export interface Mark {
  text: string;
  tone: Tone;
}

/** Recording, follow-up and report of a case, in that order, in a word each. */
export function marks(c: CaseSummary): Mark[] {
  return [
    c.tagged ? { text: 'tagged', tone: 'done' } : { text: c.recorded ? 'to tag' : 'to record', tone: 'waiting' },
    followUp(c),
    c.report === 'signed' ? { text: 'signed', tone: 'done' } : { text: 'unsigned', tone: 'waiting' },
  ];
}

function followUp(c: CaseSummary): Mark {
  switch (c.followUp) {
    case 'complete':
      return { text: 'follow-up', tone: 'done' };
    case 'overdue':
      return { text: 'follow-up late', tone: 'late' };
    case 'due':
      return { text: 'follow-up due', tone: 'waiting' };
    default:
      return { text: 'follow-up later', tone: 'waiting' };
  }
}

/** Complications in words, gravest kind first. */
export function flags(c: CaseSummary, kinds: readonly ComplicationKind[]): string[] {
  return c.complications
    .map((code) => kinds.find((k) => k.code === code) ?? { code, name: code, capsuleRupture: false })
    .sort((a, b) => Number(b.capsuleRupture) - Number(a.capsuleRupture))
    .map((k) => k.name);
}

/** The operators of a line: the one who operated first, then who supervised. */
export function operatorsText(c: CaseSummary, name: (id: string) => string): string {
  const order = { operator: 0, supervisor: 1, assistant: 2 };
  return [...c.operators]
    .sort((a, b) => order[a.role] - order[b.role])
    .map((o) => (o.role === 'supervisor' ? `with ${name(o.userId)}` : name(o.userId)))
    .join(', ');
}
