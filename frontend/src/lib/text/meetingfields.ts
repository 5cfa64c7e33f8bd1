// The words for the fields of meetings, where they are named outside their form.
import { dateText } from './format';

export const meetingNames: Record<string, string> = {
  title: 'The title',
  start: 'The beginning',
  room: 'The room',
  chairId: 'The chair',
  presenterId: 'The presenter',
  attendees: 'The attendees',
  opensOn: 'The day from which members see it',
  closesOn: 'The day until which members see it',
  from: 'The beginning of the period',
  to: 'The end of the period',
  takesVotes: 'Votes',
  takesRemarks: 'Remarks',
  namesOperators: 'Operators are named',
  namesReason: 'Why the operators are named',
  minutes: 'The minutes',
  'pack.situation': 'Situation',
  'pack.background': 'Background',
  'pack.assessment': 'Assessment',
  'pack.recommendation': 'Recommendation',
  'pack.moments': 'The moments',
  ownerId: 'The owner',
  dueOn: 'The due date',
  evidence: 'The evidence',
  reviewOn: 'The day to look again',
  closedReason: 'The reason for closing',
  discussion: 'The discussion',
  factors: 'Contributory factors',
  harm: 'Harm',
  preventability: 'Preventability',
  learning: 'Learning points',
  inboxIds: 'The case',
};

const columns: Record<string, string> = {
  line: 'what to look at',
  ms: 'the time',
  part: 'the part',
  step: 'the step',
  text: 'the text',
};
const rows: Record<string, string> = {
  'pack.moments': 'Moment',
  attendees: 'Attendee',
  factors: 'Contributory factor',
  learning: 'Learning point',
  inboxIds: 'Reason',
};

/** What a field in one of the lists of a meeting is called; undefined when it is none. */
export function meetingRow(path: string): string | undefined {
  const [, list = '', row, column = ''] = /^([\w.]+)\[(\d+)\](?:\.(\w+))?$/.exec(path) ?? [];
  const name = rows[list];
  if (!name) return undefined;
  return `${name} ${Number(row) + 1}${columns[column] ? `, ${columns[column]},` : ''}`;
}

interface Row {
  userId?: string;
  line?: string;
  text?: string;
}

/** A value of a meeting in words; undefined when the field is of another kind. */
export function meetingValue(path: string, value: unknown, personName: (id: string) => string): string | undefined {
  if (/^(chair|presenter|owner)Id$/.test(path) && typeof value === 'string') return personName(value);
  if (/^(opensOn|closesOn|from|to|dueOn|reviewOn)$/.test(path) && typeof value === 'string') return dateText(value);
  if (!(path in rows) || !Array.isArray(value)) return undefined;
  const words = (value as Row[]).map((r) => (r.userId ? personName(r.userId) : (r.line ?? r.text ?? '')));
  return words.join('; ') || 'none';
}
