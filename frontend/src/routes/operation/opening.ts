// Reads everything that the tagging page needs of a case.
import { complications } from '../../lib/api/outcome';
import { putReading, readings as readingsOf } from '../../lib/api/reading';
import { partAddress, parts as partsOf } from '../../lib/api/recording';
import { stepList, stepLists } from '../../lib/api/steplist';
import type { Case, Part, Permissions, Reading, StepList, StepListRef } from '../../lib/api/types';
import { newId } from '../../lib/ids';
import type { FilmPart } from '../../lib/player/media';
import { openReading } from '../../lib/reading/open';
import { refsOf } from '../../lib/reading/timed';
import { CaseClock, PartError } from '../../lib/timeline/clock';
import type { Opened } from './tagging.svelte';

/** What is read once for a case, whichever reading is shown. */
export interface CaseMatter {
  caseData: Case;
  permissions: Permissions;
  person: string;
  parts: readonly Part[];
  clock: CaseClock;
  /** Why the parts cannot be placed on one clock; "" when they can. */
  clockProblem: string;
  newest: readonly StepList[];
  readings: readonly Reading[];
}

/** Reads parts, lists and readings; begins the first reading when the person may mark and there is none. */
export async function readMatter(caseData: Case, permissions: Permissions, person: string): Promise<CaseMatter> {
  const matter = await lookAtMatter(caseData, permissions, person);
  if (matter.readings.length > 0 || !permissions['reading.mark'] || matter.parts.length === 0) return matter;
  return { ...matter, readings: [await beginReading(caseData, matter.newest)] };
}

/** Reads parts, lists and readings, and begins nothing. */
export async function lookAtMatter(caseData: Case, permissions: Permissions, person: string): Promise<CaseMatter> {
  const [parts, newest, readings] = await Promise.all([partsOf(caseData.id), stepLists(), readingsOf(caseData.id)]);
  const sorted = [...parts].sort((a, b) => a.position - b.position);
  return { caseData, permissions, person, parts: sorted, newest, readings, ...clockOf(sorted) };
}

/** Begins a reading with the list of the planned technique; the unit's own, the latest made, goes before a shipped one. */
export async function beginReading(caseData: Case, newest: readonly StepList[]): Promise<Reading> {
  const fitting = newest.filter((l) => l.technique === caseData.operation.techniquePlanned);
  const own = fitting.filter((l) => !l.shipped).sort((a, b) => b.createdAt - a.createdAt);
  const list = own[0] ?? fitting[0] ?? newest[0];
  if (!list) throw new Error('the unit has no step list');
  return putReading(caseData.id, newId(), { id: list.id, version: list.version });
}

/** The reading to show first: the one that the person marks, else the accepted one. */
export function firstReading(readings: readonly Reading[], person: string): Reading | undefined {
  return readings.find((r) => r.accepted) ?? readings.find((r) => r.authorId === person) ?? readings[0];
}

/** Opens one reading with every list version that it names. */
export async function openTagging(
  matter: CaseMatter,
  reading: Reading,
  kindName: (code: string) => string,
): Promise<Opened> {
  const { caseData, permissions, person, parts, clock, newest } = matter;
  const [session, recorded] = await Promise.all([openReading(reading, person), complications(caseData.id)]);
  const refs = refsOf({ items: session.items, clock, first: reading.stepList });
  const lists = [...newest, ...(await loadLists(refs, newest))];
  const filmParts = parts.map(filmPart);
  return { caseData, permissions, person, parts, filmParts, clock, lists, session, complications: recorded, kindName };
}

/** The list versions that are not at hand. */
export function loadLists(refs: readonly StepListRef[], known: readonly StepList[]): Promise<StepList[]> {
  const missing = refs.filter((ref) => !known.some((l) => l.id === ref.id && l.version === ref.version));
  return Promise.all(missing.map(stepList));
}

function clockOf(parts: readonly Part[]): { clock: CaseClock; clockProblem: string } {
  const placed = parts.map((p) => ({
    id: p.id,
    name: `Part ${p.position}`,
    duration: p.facts.duration,
    offset: p.offset,
    rates: p.rates ?? [],
    cuts: p.cuts ?? [],
    realTime: p.realTime,
  }));
  try {
    return { clock: new CaseClock(placed), clockProblem: '' };
  } catch (thrown) {
    if (!(thrown instanceof PartError)) throw thrown;
    // In the order of their positions they can at least be watched and marked.
    const clock = new CaseClock(placed.map((p) => ({ ...p, offset: undefined, rates: [], cuts: [] })));
    return { clock, clockProblem: thrown.message };
  }
}

function filmPart(part: Part): FilmPart {
  const { facts, source, state } = part;
  const unusable =
    state === 'missing' || state === 'changed'
      ? part.stateReason || `The file of part ${part.position} is ${state}.`
      : '';
  return {
    id: part.id,
    name: `part ${part.position}`,
    address: source.startsWith('https://') ? source : partAddress(part.id),
    duration: facts.duration,
    rate: facts.frameRate,
    variable: facts.variableFrameRate,
    codec: [facts.container, facts.videoCodec].filter(Boolean).join(', '),
    unusable,
  };
}
