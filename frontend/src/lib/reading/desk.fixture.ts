// A small desk for the tests: two parts, two step lists, invented markers.
import type { Edit, Instant, Marker, Step, StepList } from '../api/types';
import { CaseClock } from '../timeline/clock';
import type { Answer, Desk } from './desk';
import { isRefusal } from './history';
import { copyItems, emptyItems, fold } from './items';

function step(code: string, stage: string, required = true, exclusive = true): Step {
  return { code, name: code, stage, key: code[0] as string, exclusive, required, begins: '', ends: '' };
}

function list(id: string, technique: 'phaco' | 'msics', steps: Step[]): StepList {
  const eventKinds = ['view-lost', 'conversion'].map((code, i) => ({ code, name: code, key: String(i + 1) }));
  return { id, version: 1, name: id, technique, shipped: true, stages: [], steps, eventKinds, createdAt: 0 };
}

export const phaco = list('phaco', 'phaco', [
  step('side-port', 'opening'),
  step('ovd', 'opening', false),
  step('main-incision', 'opening'),
  step('rhexis', 'capsule'),
  step('removal', 'nucleus'),
  step('cortex', 'cortex'),
  step('polishing', 'cortex', false),
  step('lens', 'lens'),
  step('closure', 'closing'),
  step('antibiotic', 'closing', false),
  step('dye', 'capsule', false),
  step('vitrectomy', 'cortex', false),
  step('second', 'nucleus', false, false),
]);
export const msics = list('msics', 'msics', [
  step('tunnel', 'opening'),
  step('rhexis', 'capsule'),
  step('delivery', 'nucleus'),
  step('lens', 'lens'),
]);

/** Part A runs for 10 minutes, part B for 5 after it; 25 frames a second. */
export function desk(): Desk {
  let ids = 0;
  const part = { rates: [], cuts: [], realTime: true };
  const clock = new CaseClock([
    { id: 'A', name: 'Part 1', duration: 600_000, ...part },
    { id: 'B', name: 'Part 2', duration: 300_000, ...part },
  ]);
  return {
    items: emptyItems(),
    clock,
    rate: () => ({ num: 25, den: 1 }),
    lists: [phaco, msics],
    first: { id: 'phaco', version: 1 },
    person: 'me',
    operators: ['me', 'trainer'],
    newId: () => `n${++ids}`,
    now: () => 1_772_000_000_000,
  };
}

/** Seconds of part A. */
export function at(seconds: number, part = 'A'): Instant {
  return { part, ms: Math.round(seconds * 1000) };
}

/** Does what a command answered, as the server would, and gives the edit. Throws on a refusal. */
export function act(on: Desk, answer: Answer): Edit {
  if (isRefusal(answer)) throw new Error(answer.refused);
  const seq = Math.max(0, ...[...on.items.markers.values(), ...on.items.events.values()].map((i) => i.seq)) + 1;
  const done = { ...answer, seq, authorId: on.person };
  on.items = copyItems(on.items);
  fold(on.items, done);
  return done;
}

/** The markers as "step start-end", in order. */
export function sheet(on: Desk): string[] {
  return [...on.items.markers.values()]
    .sort((a, b) => clockOf(on, a) - clockOf(on, b))
    .map(
      (m) => `${m.step} ${seconds(m.start)}-${m.end ? seconds(m.end) : ''}${m.operatorId ? ` ${m.operatorId}` : ''}`,
    );
}

function clockOf(on: Desk, marker: Marker): number {
  return on.clock.caseTime(marker.start) ?? -1;
}

function seconds(instant: Instant): string {
  return (instant.part === 'A' ? '' : instant.part) + instant.ms / 1000;
}
