// What waits, as lines with one action each.
import type { Today, TodayList, Waiting } from '../../lib/api/case';
import type { MeetingLine } from '../../lib/api/meeting';
import type { Window } from '../../lib/api/types';
import { dateText } from '../../lib/text/format';
import { windowNames } from '../../lib/text/words';
import { visitAddress } from '../followup/owing';

export interface Group {
  code: TodayList;
  title: string;
  /** The one thing to do. */
  action: string;
  items: Waiting[];
}

/** The groups that hold something, most urgent first: an eye that was not seen, then people who wait, then paper. */
export function groups(today: Today): Group[] {
  const all: Group[] = [
    { code: 'followUpDue', title: 'Follow-up due', action: 'Record the visit', items: today.followUpDue ?? [] },
    { code: 'commentsToAnswer', title: 'Comments to answer', action: 'Answer', items: today.commentsToAnswer ?? [] },
    { code: 'toSign', title: 'Reports to sign', action: 'Read and sign', items: today.toSign ?? [] },
    { code: 'toTag', title: 'Recordings to tag', action: 'Tag', items: today.toTag ?? [] },
    { code: 'toRecord', title: 'Cases without a recording', action: 'Add the recording', items: today.toRecord ?? [] },
  ];
  return all.filter((g) => g.items.length > 0);
}

/** Where the action of a line is done. */
export function target(code: TodayList, { case: { id }, window }: Waiting): string {
  if (window) return visitAddress(id, window);
  const part = {
    followUpDue: 'follow-up',
    commentsToAnswer: 'operation',
    toSign: 'review',
    toTag: 'operation',
    toRecord: 'operation',
  };
  return `/cases/${id}/${part[code]}`;
}

/** Why the line is there, in a few words. */
export function reason(w: Waiting): string {
  if (w.window) {
    const when = w.dueOn ? ` ${w.overdue ? 'was due' : 'due'} ${dateText(w.dueOn)}` : '';
    return `${windowNames[w.window as Window]}${when}`;
  }
  if (w.comments) return `${w.comments} open ${w.comments === 1 ? 'comment' : 'comments'}`;
  return '';
}

/** Something of a meeting that waits, with its one action. */
export interface MeetingTodo {
  key: string;
  what: string;
  /** When and where, or out of what it comes. */
  about: string;
  why: string;
  late: boolean;
  action: string;
  to: string;
}

/** A running meeting, then own actions by their day, then the next meeting, then what waits for an agenda. */
export function meetingTodos({ actions, meetings, inbox }: Today): MeetingTodo[] {
  const own = (actions ?? []).map(
    (a): MeetingTodo => ({
      key: a.id,
      what: a.text,
      about: a.agreedOn ? `action agreed at the meeting of ${dateText(a.agreedOn)}` : 'action of a meeting',
      why: `${a.overdue ? 'was due' : 'due'} ${dateText(a.dueOn)}`,
      late: a.overdue,
      action: 'Say what was done',
      to: `/meetings#action-${a.id}`,
    }),
  );
  const of = (m: MeetingLine, why: string, action: string, to: string): MeetingTodo => ({
    key: m.id,
    what: m.title,
    about: [dateText(m.date), m.start, m.room].filter(Boolean).join(', '),
    why,
    late: false,
    action,
    to: `/meetings/${m.id}${to}`,
  });
  const all = meetings ?? [];
  const running = all.filter((m) => m.state === 'running').map((m) => of(m, 'running now', 'Join', '/room'));
  const next = all.filter((m) => m.state === 'planned').slice(0, 1);
  const ahead = next.map((m) => of(m, m.chair ? 'next meeting, you chair it' : 'next meeting', 'Open the agenda', ''));
  const waits = `${inbox} ${inbox === 1 ? 'case waits' : 'cases wait'} for a meeting`;
  const brought = {
    key: 'inbox',
    what: waits,
    about: 'brought by the meeting rules or asked for',
    why: '',
    late: false,
  };
  return [
    ...running,
    ...own,
    ...ahead,
    ...(inbox > 0 ? [{ ...brought, action: 'Open the inbox', to: '/meetings' }] : []),
  ];
}
