// What waits for a meeting, case by case.
import type { InboxEntry, InboxState } from '../../lib/api/inbox';
import type { AgendaItem } from '../../lib/api/meeting';
import type { TriggerChoice } from '../../lib/api/unit';
import { newId } from '../../lib/ids';
import { eyeNames, techniqueNames } from '../../lib/text/words';

/** The reasons of one state to discuss one case. */
export interface InboxGroup {
  number: number;
  label: string;
  caseId: string;
  /** What the case is, in a few words. */
  facts: string;
  entries: InboxEntry[];
}

/** The entries of some states by case; the case whose oldest reason is oldest first. */
export function grouped(entries: readonly InboxEntry[], ...states: InboxState[]): InboxGroup[] {
  const groups = new Map<number, InboxGroup>();
  for (const entry of entries) {
    if (!states.includes(entry.state)) continue;
    const { number, label, caseId = '' } = entry;
    const group = groups.get(number) ?? { number, label, caseId, facts: factsOf(entry), entries: [] };
    group.entries.push(entry);
    groups.set(number, group);
  }
  return [...groups.values()].sort((a, b) => raised(a) - raised(b) || a.number - b.number);
}
const raised = (g: InboxGroup) => Math.min(...g.entries.map((e) => e.raisedAt));

function factsOf({ technique, eye, nuclearGrade }: InboxEntry): string {
  const grade = nuclearGrade === null ? '' : `nuclear grade ${nuclearGrade}`;
  return [techniqueNames[technique], eyeNames[eye]?.toLowerCase().replace(/ \(o[ds]\)/, ''), grade]
    .filter(Boolean)
    .join(', ');
}

/** The name of a rule. */
export const kindName = (kind: string, kinds: readonly TriggerChoice[]) =>
  kinds.find((k) => k.kind === kind)?.name ?? kind;

const usualMinutes = 10;

/** The item that brings a case onto an agenda, last, with what is known of it as its pack. */
export function itemOf(group: InboxGroup, kinds: readonly TriggerChoice[]): AgendaItem {
  const names = [...new Set(group.entries.map((e) => kindName(e.kind, kinds)))];
  return {
    ...emptyItem('case', names.join(', ').slice(0, 200), usualMinutes),
    inboxIds: group.entries.map((e) => e.id),
  };
}

/** An item of which nothing is written but its title. */
export function emptyItem(kind: 'case' | 'topic', title: string, minutes: number): AgendaItem {
  return {
    id: newId(),
    revision: 0,
    place: 0,
    kind,
    title,
    label: '',
    minutes,
    presenterId: '',
    inboxIds: [],
    pack: { situation: '', background: '', assessment: '', recommendation: '', moments: [] },
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
