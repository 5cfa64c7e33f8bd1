import type { Change, Edit, Instant, Marker, Step, StepList, StepListRef, Thing } from '../api/types';
import type { CaseClock } from '../timeline/clock';
import { type FrameRate, frameAt, frameStart, known } from '../timeline/frame';
import type { Refusal } from './history';
import { changeTo, find, type Item, type Items } from './items';

/** What a command works with: the reading as the person sees it, and who and where they are. */
export interface Desk {
  items: Items;
  clock: CaseClock;
  /** Frame rate of a part. */
  rate: (part: string) => FrameRate;
  /** Every list that a marker of the reading names, and those that may be taken up. */
  lists: readonly StepList[];
  /** The list that the reading began with. */
  first: StepListRef;
  /** Who does it. */
  person: string;
  /** The operators of the case, the lead first. */
  operators: readonly string[];
  newId: () => string;
  now: () => number;
}

/** What a command answers: an edit to record, or why not. */
export type Answer = Edit | Refusal;

/** A refusal in words for a person. */
export function refuse(refused: string): Refusal {
  return { refused };
}

/** An edit of the desk's person, still without a number of the journal. */
export function edit(desk: Desk, action: string, changes: Change[]): Edit {
  return { id: desk.newId(), action, changes, seq: 0, authorId: '', madeAt: 0 };
}

/** The change that gives an item a new value, built on the version that is on the desk. */
export function put(desk: Desk, thing: Thing, value: Item): Change {
  return changeTo(thing, value.id, find(desk.items, thing, value.id)?.seq ?? 0, value);
}

/** The change that removes an item. */
export function take(desk: Desk, thing: Thing, id: string): Change {
  return changeTo(thing, id, find(desk.items, thing, id)?.seq ?? 0, undefined);
}

/** The list with the reference. */
export function listOf(desk: Pick<Desk, 'lists'>, ref: StepListRef): StepList | undefined {
  return desk.lists.find((l) => l.id === ref.id && l.version === ref.version);
}

/** The step of a marker; undefined when its list is not known. */
export function stepOf(desk: Pick<Desk, 'lists'>, marker: Pick<Marker, 'step' | 'stepList'>): Step | undefined {
  return listOf(desk, marker.stepList)?.steps.find((s) => s.code === marker.step);
}

/** Case-clock time; Infinity for an instant in no part, so that it sorts last. */
export function timeOf(desk: Pick<Desk, 'clock'>, at: Instant): number {
  return desk.clock.caseTime(at) ?? Number.POSITIVE_INFINITY;
}

/** The list in use at an instant: that of the last conversion before it, else the one the reading began with. */
export function listAt(desk: Pick<Desk, 'items' | 'clock' | 'first'>, at: Instant): StepListRef {
  const now = timeOf(desk, at);
  let found = desk.first;
  let foundAt = Number.NEGATIVE_INFINITY;
  for (const event of desk.items.events.values()) {
    if (!event.stepList) continue;
    const time = timeOf(desk, event.at);
    if (time <= now && time >= foundAt) [found, foundAt] = [event.stepList, time];
  }
  return found;
}

/** One episode with its place on the case clock; to is Infinity while it runs. */
export interface Episode {
  marker: Marker;
  step: Step | undefined;
  from: number;
  to: number;
}

interface Laid {
  clock: CaseClock;
  lists: readonly StepList[];
  all: readonly Episode[];
  exclusive: readonly Episode[];
}

// The items of a reading are replaced, never changed, at each edit; between two edits every frame asks for the same.
const laid = new WeakMap<Items, Laid>();

function layOut(desk: Pick<Desk, 'items' | 'clock' | 'lists'>): Laid {
  const known = laid.get(desk.items);
  if (known && known.clock === desk.clock && known.lists === desk.lists) return known;
  const all: Episode[] = [];
  for (const marker of desk.items.markers.values()) {
    const from = timeOf(desk, marker.start);
    if (from === Number.POSITIVE_INFINITY) continue;
    const to = marker.end ? timeOf(desk, marker.end) : Number.POSITIVE_INFINITY;
    all.push({ marker, step: stepOf(desk, marker), from, to });
  }
  all.sort((a, b) => a.from - b.from || (a.marker.id < b.marker.id ? -1 : 1));
  const exclusive = all.filter((e) => e.step?.exclusive ?? true);
  const found = { clock: desk.clock, lists: desk.lists, all, exclusive };
  laid.set(desk.items, found);
  return found;
}

/** Every episode that begins in the recording, by start. */
export function episodes(desk: Pick<Desk, 'items' | 'clock' | 'lists'>): readonly Episode[] {
  return layOut(desk).all;
}

/** The episodes of exclusive steps, by start. A step of an unknown list counts as exclusive. */
export function exclusiveEpisodes(desk: Pick<Desk, 'items' | 'clock' | 'lists'>): readonly Episode[] {
  return layOut(desk).exclusive;
}

/** The exclusive episode that covers an instant, the last to begin; undefined between steps. */
export function runningAt(desk: Pick<Desk, 'items' | 'clock' | 'lists'>, at: Instant): Episode | undefined {
  const now = timeOf(desk, at);
  const all = exclusiveEpisodes(desk);
  const found = all.findLastIndex((e) => e.from <= now && now < e.to);
  const running = all[found];
  // One without an end runs only until the next begins.
  if (!running?.marker.end && all.slice(found + 1).some((e) => e.from <= now)) return undefined;
  return running;
}

/** The same instant to within the frame that is on the screen. */
export function sameFrame(desk: Desk, a: Instant, b: Instant): boolean {
  const rate = desk.rate(a.part);
  return a.part === b.part && (a.ms === b.ms || (known(rate) && frameAt(rate, a.ms) === frameAt(rate, b.ms)));
}

/** The instant some frames further in the same part, kept inside it. Without a known rate a frame is 40 ms. */
export function byFrames(desk: Desk, at: Instant, frames: number): Instant {
  const duration = desk.clock.part(at.part)?.duration ?? at.ms;
  const rate = desk.rate(at.part);
  const ms = known(rate) ? frameStart(rate, Math.max(0, frameAt(rate, at.ms) + frames)) : at.ms + frames * 40;
  return { part: at.part, ms: Math.min(Math.max(0, ms), duration) };
}
