// What waits, as lines with one action each.
import type { Today, TodayList, Waiting } from '../../lib/api/case';
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
