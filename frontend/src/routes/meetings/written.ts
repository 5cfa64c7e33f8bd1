// What a person writes of a meeting and of an item, apart from what the server adds to it or keeps by other routes.
import type { AgendaItem, Meeting, Moment, Pack } from '../../lib/api/meeting';
import { Problem } from '../../lib/api/problem';
import { daysAfter } from '../../lib/text/format';

export interface WrittenItem {
  id: string;
  revision: number;
  title: string;
  minutes: number;
  presenterId: string;
  pack: Pack;
}

export function writtenItem({ id, revision, title, minutes, presenterId, pack }: AgendaItem): WrittenItem {
  const moments = pack.moments.map((m): Moment => ({ ...m, clock: '' }));
  return { id, revision, title, minutes, presenterId, pack: { ...pack, moments } };
}

/** The settings of a meeting: neither its state nor who was there. */
export function writtenMeeting(m: Meeting): Meeting {
  return {
    id: m.id,
    revision: m.revision,
    title: m.title,
    date: m.date,
    start: m.start,
    room: m.room,
    chairId: m.chairId,
    presenterId: m.presenterId,
    attendees: m.attendees.map(({ userId }) => ({ userId, present: false, apology: false })),
    state: 'planned',
    opensOn: m.opensOn,
    closesOn: m.closesOn,
    from: m.from,
    to: m.to,
    takesVotes: m.takesVotes,
    takesRemarks: m.takesRemarks,
    namesOperators: m.namesOperators,
    namesReason: m.namesReason,
  };
}

/** A meeting to be planned; its days are left to the server's habit. */
export function newMeeting(id: string, chairId: string, today: string): Meeting {
  return {
    id,
    revision: 0,
    title: 'Morbidity meeting',
    date: daysAfter(today, 14),
    start: '08:00',
    room: '',
    chairId,
    presenterId: '',
    attendees: [{ userId: chairId, present: false, apology: false }],
    state: 'planned',
    opensOn: '',
    closesOn: '',
    from: '',
    to: '',
    takesVotes: false,
    takesRemarks: true,
    namesOperators: false,
    namesReason: '',
  };
}

/** What is missing before an item can be kept, in words; "" when nothing is. */
export function lackingOf(item: WrittenItem): string {
  if (!item.title.trim()) return 'give it a title';
  const bare = item.pack.moments.findIndex((m) => !m.line.trim());
  return bare < 0 ? '' : `say what to look at in moment ${bare + 1}`;
}

/** What is missing before a meeting can be kept. */
export function lackingOfMeeting(m: Meeting): string {
  if (!m.title.trim()) return 'give it a title';
  if (!m.date) return 'choose a date';
  return m.namesOperators && !m.namesReason.trim() ? 'say why the operators are named' : '';
}

/** Runs a request; of a refusal with what is stored, only what a person writes is handed on. */
export async function trimmed<Whole, Part>(asked: Promise<Whole>, part: (whole: Whole) => Part): Promise<Part> {
  try {
    return part(await asked);
  } catch (thrown) {
    if (!(thrown instanceof Problem) || !thrown.theirs) throw thrown;
    const { status, code, message, requestId, fields, yours, theirs, retryAfterSeconds } = thrown;
    throw new Problem(status, {
      code,
      detail: message,
      requestId,
      fields,
      yours,
      theirs: part(theirs as Whole),
      retryAfterSeconds,
    });
  }
}
