// The reading as the timeline computes from it: the same bridge as on the server.
import type { Complication, StepList, StepListRef } from '../api/types';
import { type Mark, mergeSteps, type TimedStep, type TimelineInput } from '../timeline/marks';
import { type Desk, listOf, timeOf } from './desk';

type Read = Pick<Desk, 'items' | 'clock' | 'lists' | 'first' | 'operators'>;

/** Every list version that the reading names: its own first, then those of conversions in order, then those of markers. */
export function refsOf(desk: Pick<Desk, 'items' | 'clock' | 'first'>): StepListRef[] {
  const refs: StepListRef[] = [desk.first];
  const add = (ref: StepListRef) => {
    if (!refs.some((r) => r.id === ref.id && r.version === ref.version)) refs.push(ref);
  };
  const conversions = [...desk.items.events.values()].filter((e) => e.stepList);
  conversions.sort((a, b) => timeOf(desk, a.at) - timeOf(desk, b.at));
  for (const event of conversions) add(event.stepList as StepListRef);
  for (const marker of desk.items.markers.values()) add(marker.stepList);
  return refs;
}

/** What the timeline takes: marks with their operators, steps and stages of every list in use. */
export function timedInput(desk: Read, complications: readonly Complication[]): TimelineInput {
  const lists = refsOf(desk).flatMap((ref) => listOf(desk, ref) ?? []);
  const marks = [...desk.items.markers.values()].map(
    (m): Mark => ({
      id: m.id,
      step: m.step,
      operator: m.operatorId || (desk.operators[0] ?? ''),
      start: m.start,
      end: m.end,
    }),
  );
  return {
    clock: desk.clock,
    stages: [...new Set(lists.flatMap((l) => l.stages.map((s) => s.code)))],
    steps: stepsOf(lists),
    marks,
    complications: complications.flatMap((c) => (c.at ? [{ id: c.id, kind: c.kind, at: c.at }] : [])),
  };
}

/** A list of another technique follows a conversion; another version of a list only adds the steps that it alone has. */
function stepsOf(lists: readonly StepList[]): TimedStep[] {
  let steps: TimedStep[] = [];
  lists.forEach((list, i) => {
    if (i === 0) {
      steps = list.steps;
      return;
    }
    const merged = mergeSteps<TimedStep>(steps, list.steps);
    const converted = !lists.slice(0, i).some((l) => l.id === list.id);
    const required = new Set(steps.filter((s) => s.required).map((s) => s.code));
    steps = converted ? merged : merged.map((s) => ({ ...s, required: required.has(s.code) }));
  });
  return steps;
}
