// What the step keys do: start, end and toggle steps, and hand over to the next operator.
import type { Change, Instant, Marker, Step } from '../api/types';
import {
  type Answer,
  type Desk,
  type Episode,
  edit,
  episodes,
  exclusiveEpisodes,
  listAt,
  listOf,
  put,
  refuse,
  runningAt,
  sameFrame,
  timeOf,
} from './desk';

/** Who operates at an instant: as in the last episode that began before it; "" is the lead operator of the case. */
export function operatorAt(desk: Desk, at: Instant): string {
  const now = timeOf(desk, at);
  return exclusiveEpisodes(desk).findLast((e) => e.from <= now)?.marker.operatorId ?? '';
}

/**
 * Starts a step at an instant, as one edit. An exclusive step ends the running one, or takes the rest of the episode
 * in which the instant lies, or runs up to the next one; on the very start of an episode it takes its place. A step
 * that may run beside others is toggled.
 */
export function startStep(desk: Desk, code: string, at: Instant, operator?: string): Answer {
  const stepList = listAt(desk, at);
  const step = listOf(desk, stepList)?.steps.find((s) => s.code === code);
  if (!step) return refuse('This step is not in the step list that is in use here.');
  if (desk.clock.caseTime(at) === undefined) return refuse('The playhead is outside the recording.');
  const operatorId = operator ?? operatorAt(desk, at);
  const marker: Marker = { id: desk.newId(), seq: 0, step: code, stepList, start: at, end: null, operatorId };
  return step.exclusive ? startExclusive(desk, step, marker) : toggle(desk, marker);
}

function startExclusive(desk: Desk, step: Step, marker: Marker): Answer {
  const at = marker.start;
  const running = runningAt(desk, at);
  if (running?.marker.step === step.code) return refuse(`${step.name} is already running here.`);
  if (running && sameFrame(desk, running.marker.start, at)) {
    const { step: code, stepList } = marker;
    return edit(desk, 'relabel', [put(desk, 'marker', { ...running.marker, step: code, stepList })]);
  }
  const changes: Change[] = [];
  if (running) changes.push(put(desk, 'marker', { ...running.marker, end: at }));
  const end = running?.marker.end ?? nextStart(exclusiveEpisodes(desk), timeOf(desk, at));
  changes.push(put(desk, 'marker', { ...marker, end }));
  return edit(desk, 'add', changes);
}

function nextStart(all: readonly Episode[], after: number): Instant | null {
  return all.find((e) => e.from > after)?.marker.start ?? null;
}

function toggle(desk: Desk, marker: Marker): Answer {
  const now = timeOf(desk, marker.start);
  const same = episodes(desk).filter((e) => e.marker.step === marker.step);
  const running = same.findLast((e) => e.from <= now && now < e.to);
  if (!running) return edit(desk, 'add', [put(desk, 'marker', { ...marker, end: nextStart(same, now) })]);
  if (sameFrame(desk, running.marker.start, marker.start)) {
    return refuse(`${running.step?.name ?? marker.step} began at this frame; it cannot end at it too.`);
  }
  return edit(desk, 'move', [put(desk, 'marker', { ...running.marker, end: marker.start })]);
}

/** Ends the running exclusive step at an instant; of one that has an end already, the rest is given back. */
export function endStep(desk: Desk, at: Instant): Answer {
  const running = runningAt(desk, at);
  if (!running) return refuse('No step is running here.');
  if (sameFrame(desk, running.marker.start, at)) {
    return refuse(`${running.step?.name ?? 'The step'} began at this frame; it cannot end at it too.`);
  }
  return edit(desk, 'move', [put(desk, 'marker', { ...running.marker, end: at })]);
}

/** The operator after the one who operates at an instant, in the order of the case. */
export function nextOperator(desk: Desk, now: string): string | undefined {
  if (desk.operators.length < 2) return undefined;
  const current = now === '' ? (desk.operators[0] as string) : now;
  const next = desk.operators[(desk.operators.indexOf(current) + 1) % desk.operators.length];
  return next === current ? undefined : next;
}

/**
 * From an instant on another person operates: the running episode is split there, and the episodes that follow go to
 * that person too, up to the first that somebody else has.
 */
export function handOver(desk: Desk, at: Instant, to: string): Answer {
  const running = runningAt(desk, at);
  const now = timeOf(desk, at);
  const before = running?.marker.operatorId ?? operatorAt(desk, at);
  if (before === to) return refuse('This person is already operating here.');
  const changes: Change[] = [];
  if (running && sameFrame(desk, running.marker.start, at)) {
    changes.push(put(desk, 'marker', { ...running.marker, operatorId: to }));
  } else if (running) {
    changes.push(put(desk, 'marker', { ...running.marker, end: at }));
    changes.push(put(desk, 'marker', { ...running.marker, id: desk.newId(), seq: 0, start: at, operatorId: to }));
  }
  for (const e of exclusiveEpisodes(desk).filter((x) => x.from > now)) {
    if ((e.marker.operatorId ?? '') !== before) break;
    changes.push(put(desk, 'marker', { ...e.marker, operatorId: to }));
  }
  if (changes.length === 0) return refuse('No step is running here.');
  return edit(desk, 'operator', changes);
}
