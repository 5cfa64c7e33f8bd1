// The sums and words of meetings, their agenda and their actions.
import type { AgendaItem, ItemPart, MeetingAction, MeetingLine, MeetingState } from '../../lib/api/meeting';
import type { Person } from '../../lib/api/types';
import { dateText } from '../../lib/text/format';

export const stateNames: Record<MeetingState, string> = {
  planned: 'Planned',
  running: 'Running now',
  closed: 'Closed',
};

/** When each item begins and, last, when the meeting ends: HH:MM, or without a start how far in as +h:mm. */
export function clocks(start: string, minutes: readonly number[]): string[] {
  const [hour, minute] = start.split(':').map(Number);
  const from = start ? (hour ?? 0) * 60 + (minute ?? 0) : 0;
  const times = [from];
  for (const m of minutes) times.push((times.at(-1) ?? 0) + m);
  return times.map((t) =>
    start ? `${two(Math.floor(t / 60) % 24)}:${two(t % 60)}` : `+${Math.floor(t / 60)}:${two(t % 60)}`,
  );
}
const two = (n: number) => String(n).padStart(2, '0');

/** Date, time and room in one line. */
export const whenText = ({ date, start, room }: { date: string; start: string; room: string }) =>
  [dateText(date), start, room].filter(Boolean).join(', ');

/** How much is on an agenda. */
export function loadText({ items, minutes, state }: Pick<MeetingLine, 'items' | 'minutes' | 'state'>): string {
  const none = state === 'planned' ? 'nothing on the agenda yet' : 'no items';
  return `${items === 0 ? none : `${items} ${items === 1 ? 'item' : 'items'}`}, ${minutes} min`;
}

/** Those to come with the next first, then those that were, the latest first. */
export function ahead(lines: readonly MeetingLine[], today: string): { next: MeetingLine[]; past: MeetingLine[] } {
  const comes = (l: MeetingLine) => l.state === 'running' || (l.state === 'planned' && l.date >= today);
  return { next: lines.filter(comes).reverse(), past: lines.filter((l) => !comes(l)) };
}

/** What can be said of the recording of a case before the meeting, in words; "" when all of it can be shown. */
export function recordingText({ kind, withdrawn, recording }: AgendaItem): string {
  if (kind !== 'case') return '';
  if (withdrawn) return withdrawn;
  if (recording.length === 0) return 'The case has no recording.';
  const hidden = recording.filter((p) => !p.playable);
  if (hidden.length === 0) return '';
  const reasons = [...new Set(hidden.map((p) => p.reason))].join(' ');
  return `${hidden.length === recording.length ? 'The recording is not shown.' : `${partsText(hidden)} not shown.`} ${reasons}`;
}

function partsText(parts: readonly ItemPart[]): string {
  const numbers = parts.map((p) => p.part).join(', ');
  return parts.length === 1 ? `Part ${numbers} of the recording is` : `Parts ${numbers} of the recording are`;
}

/** How far an action is, in words. */
export function actionText(a: MeetingAction): string {
  if (a.state === 'closed') return `Closed${a.closedOn ? ` ${dateText(a.closedOn)}` : ''}`;
  if (a.state === 'done') return 'Reported done';
  return `${a.overdue ? '▲ Was due' : 'Due'} ${dateText(a.dueOn)}`;
}

/** People to choose from: who may sign in, and who is chosen already. */
export function choosable(
  people: readonly Person[],
  chosen: readonly string[] = [],
): { value: string; label: string }[] {
  return people
    .filter((p) => p.active || chosen.includes(p.id))
    .map((p) => ({ value: p.id, label: p.name }))
    .sort((a, b) => a.label.localeCompare(b.label));
}

export const confidential =
  'Meeting material is confidential: it is for members only, while it is open to them, and is not to be copied or forwarded. ' +
  'Local policy and law govern consent, retention and confidential review. Duty of candour to the patient is separate from ' +
  'this meeting and stays with the clinical team.';
