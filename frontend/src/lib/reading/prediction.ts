import type { Instant, Step } from '../api/types';
import { type Desk, type Episode, exclusiveEpisodes, listAt, listOf, timeOf } from './desk';

/**
 * The steps that an operation usually passes through, in order: those up to the last required one, and what follows
 * it directly in the same stage. What the list names after that are adjuncts, which come when they must.
 */
export function usualSteps(steps: readonly Step[]): Step[] {
  const exclusive = steps.filter((s) => s.exclusive);
  const lastRequired = exclusive.findLastIndex((s) => s.required);
  let end = lastRequired + 1;
  while (end > 0 && end < exclusive.length && exclusive[end]?.stage === exclusive[lastRequired]?.stage) end++;
  return lastRequired < 0 ? exclusive : exclusive.slice(0, end);
}

/**
 * The steps that may start next at an instant, the likeliest first: after an adjunct the step that it interrupted
 * when both belong to one stage; then the first usual step after the furthest that was done (a repeated OVD injection
 * does not lead back); then required ones that were passed over. Never the step that is running.
 */
export function predict(desk: Desk, at: Instant): Step[] {
  const list = listOf(desk, listAt(desk, at));
  if (!list) return [];
  const usual = usualSteps(list.steps);
  const now = timeOf(desk, at);
  const past = exclusiveEpisodes(desk).filter((e) => e.from <= now);
  const last = past[past.length - 1];
  const done = new Set(past.map((e) => e.marker.step));
  const furthest = usual.findLastIndex((s) => done.has(s.code));
  const passedOver = usual.slice(0, Math.max(0, furthest)).filter((s) => s.required && !done.has(s.code));
  const wanted = [interrupted(usual, past), ...usual.slice(furthest + 1), ...passedOver];
  const runningCode = last?.marker.step;
  return wanted.filter((s, i): s is Step => s !== undefined && s.code !== runningCode && wanted.indexOf(s) === i);
}

function interrupted(usual: readonly Step[], past: readonly Episode[]): Step | undefined {
  const last = past[past.length - 1];
  const before = past[past.length - 2];
  if (!last?.step || !before?.step || usual.some((s) => s.code === last.marker.step)) return undefined;
  const touched = before.to >= last.from;
  return touched && before.step.stage === last.step.stage
    ? usual.find((s) => s.code === before.marker.step)
    : undefined;
}
