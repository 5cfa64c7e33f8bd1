// What each key and button does.
import type { ActionId } from '../../lib/player/actions';
import type { Target } from '../../lib/player/keymap';
import { runningAt } from '../../lib/reading/desk';
import { endStep, handOver, nextOperator, operatorAt, startStep } from '../../lib/reading/marking';
import { addEvent, conversion, removeComment } from '../../lib/reading/noting';
import { mergeNext, moveBoundary, moveInstant, nudge, removeItem, type Side, split } from '../../lib/reading/shaping';
import { session } from '../../lib/session.svelte';
import { clockText } from './lines';
import type { Tagging } from './tagging.svelte';

/** Actions that change the reading, for which the person needs the right to mark. */
const marking: ReadonlySet<Target> = new Set<ActionId>([
  'next-step',
  'end-step',
  'hand-over',
  'undo',
  'redo',
  'remove',
  'split',
  'merge',
  'start-here',
  'end-here',
  'relabel',
  'nudge-start-back',
  'nudge-start-on',
  'nudge-end-back',
  'nudge-end-on',
]);

/** Does what a key or a button stands for. */
export function perform(t: Tagging, target: Target): void {
  const changes = marking.has(target) || target.startsWith('step:') || target.startsWith('event:');
  const ownComments = (target === 'undo' || target === 'redo' || target === 'remove') && t.mayComment;
  if (changes && !t.mayMark && !ownComments) return t.say('This reading is not yours to mark.', true);
  if (target.startsWith('step:')) return start(t, target.slice(5));
  if (target.startsWith('event:')) return event(t, target.slice(6));
  acts[target as ActionId](t);
}

const acts: Record<ActionId, (t: Tagging) => void> = {
  'next-step': (t) => {
    const step = t.next[0];
    if (step) start(t, step.code);
    else t.say('Every step of the list is done; a letter starts one again.', true);
  },
  'end-step': end,
  'hand-over': hand,
  complication: (t) =>
    t.mayRecord ? t.open('complication') : t.say('You may not record complications of this case.', true),
  comment: (t) => (t.mayComment ? t.open('comment') : t.say('You may not comment on this case.', true)),
  play: (t) => t.film.toggle(),
  'frame-back': (t) => t.film.step(-1),
  'frame-on': (t) => t.film.step(1),
  'second-back': (t) => t.film.jump(-1000),
  'second-on': (t) => t.film.jump(1000),
  'ten-back': (t) => t.film.jump(-10_000),
  'ten-on': (t) => t.film.jump(10_000),
  'line-up': (t) => t.walk(-1),
  'line-down': (t) => t.walk(1),
  slower: (t) => speed(t, -1),
  faster: (t) => speed(t, 1),
  loop: (t) => t.toggleLoop(),
  sound: (t) => t.film.setMuted(!t.film.muted),
  undo: (t) => t.undo(),
  redo: (t) => t.redo(),
  remove,
  split: splitHere,
  merge,
  'start-here': (t) => boundaryHere(t, 'start'),
  'end-here': (t) => boundaryHere(t, 'end'),
  'nudge-start-back': (t) => nudgeBy(t, 'start', -1),
  'nudge-start-on': (t) => nudgeBy(t, 'start', 1),
  'nudge-end-back': (t) => nudgeBy(t, 'end', -1),
  'nudge-end-on': (t) => nudgeBy(t, 'end', 1),
  relabel: (t) => {
    if (marker(t)) t.dialog = 'relabel';
  },
  'key-map': (t) => {
    t.dialog = 'keys';
  },
};

function at(t: Tagging): string {
  const now = t.film.now();
  return now ? clockText(t.time(now) ?? now.ms) : '';
}

function start(t: Tagging, code: string): void {
  const here = t.here();
  if (!here) return;
  const answer = startStep(t.desk, code, here, t.comingOperator);
  const name = t.list?.steps.find((s) => s.code === code)?.name ?? code;
  const ends = 'changes' in answer && answer.action === 'move';
  if (t.act(answer, `${name} ${ends ? 'ends' : 'starts'} at ${at(t)}.`)) t.comingOperator = undefined;
}

function end(t: Tagging): void {
  const here = t.here();
  if (!here) return;
  const running = runningAt(t.desk, here);
  t.act(endStep(t.desk, here), `${running?.step?.name ?? 'The step'} ends at ${at(t)}.`);
}

function event(t: Tagging, kind: string): void {
  const here = t.here();
  if (!here) return;
  if (kind === conversion) {
    t.film.pause();
    t.dialog = 'conversion';
    return;
  }
  const name = t.list?.eventKinds.find((k) => k.code === kind)?.name ?? kind;
  t.act(addEvent(t.desk, kind, here), `${name} at ${at(t)}.`);
}

function hand(t: Tagging): void {
  const here = t.here();
  if (!here) return;
  const now = t.comingOperator ?? operatorAt(t.desk, here);
  const to = nextOperator(t.desk, now);
  if (!to) return t.say('The case names only one operator. Add the other one to the case first.', true);
  const words = `${session.name(to)} operates from ${at(t)}.`;
  const running = runningAt(t.desk, here);
  if (running) {
    t.act(handOver(t.desk, here, to), words);
    return;
  }
  t.comingOperator = to;
  t.say(`${session.name(to)} operates in the next step.`);
}

function speed(t: Tagging, by: 1 | -1): void {
  t.film.shift(by);
  t.say(`${t.film.speed} times.`);
}

/** The selected step, or else the one at the playhead; says so when there is neither. */
function marker(t: Tagging): string | undefined {
  const line = t.selectedLine;
  const id = line?.kind === 'marker' ? line.id : line ? '' : t.runningId;
  if (id) return id;
  t.say('Select a step in the running sheet first.', true);
  return undefined;
}

function nameOf(t: Tagging, id: string): string {
  const line = t.lines.find((l) => l.kind === 'marker' && l.id === id);
  return line?.kind === 'marker' ? line.name : 'The step';
}

function remove(t: Tagging): void {
  const line = t.selectedLine;
  if (!line) return t.say('Select a line of the running sheet first.', true);
  if (line.kind === 'complication') return t.say('Remove a complication in the list below the recording.', true);
  if (line.kind !== 'comment' && !t.mayMark) return t.say('This reading is not yours to mark.', true);
  const answer = line.kind === 'comment' ? removeComment(t.desk, line.id) : removeItem(t.desk, line.kind, line.id);
  const name = line.kind === 'comment' ? 'The comment' : line.name;
  if (t.act(answer, `${name} is removed.`)) t.selected = undefined;
}

function splitHere(t: Tagging): void {
  const [here, id] = [t.here(), marker(t)];
  if (here && id) t.act(split(t.desk, id, here), `${nameOf(t, id)} is split at ${at(t)}.`);
}

function merge(t: Tagging): void {
  const id = marker(t);
  if (id) t.act(mergeNext(t.desk, id), `${nameOf(t, id)} is merged with its next episode.`);
}

function boundaryHere(t: Tagging, side: Side): void {
  const here = t.here();
  const line = t.selectedLine;
  if (!here) return;
  if (line?.kind === 'event' || line?.kind === 'comment') {
    t.act(moveInstant(t.desk, line.kind, line.id, here), `Moved to ${at(t)}.`);
    return;
  }
  const id = marker(t);
  const verb = side === 'start' ? 'starts' : 'ends';
  if (id) t.act(moveBoundary(t.desk, id, side, here), `${nameOf(t, id)} ${verb} at ${at(t)}.`);
}

function nudgeBy(t: Tagging, side: Side, frames: number): void {
  const id = marker(t);
  if (!id || !t.act(nudge(t.desk, id, side, frames), `One frame ${frames < 0 ? 'earlier' : 'later'}.`)) return;
  const moved = t.session.items.markers.get(id);
  const to = side === 'start' ? moved?.start : moved?.end;
  if (to) t.film.seek(to);
}

/** How long a marking key is held, in ms, until it takes back what it did. */
export const holdToUndo = 700;

/**
 * Follows the keys of the page. A marking key that is kept down takes its mark back. Keys typed into a field, on a
 * button (Enter, Space) or in a dialog are not ours. The answer stops it.
 */
export function followKeys(t: Tagging, keyName: (event: KeyboardEvent) => string): () => void {
  let held: ReturnType<typeof setTimeout> | undefined;
  const release = () => clearTimeout(held);
  const press = (event: KeyboardEvent) => {
    const name = keyName(event);
    if (event.defaultPrevented || name === '' || t.dialog || typing(event, name)) return;
    const target = t.keys.target(name);
    if (!target) return;
    event.preventDefault();
    if (event.repeat && !t.keys.repeats(target)) return;
    const before = t.session.lastEdit;
    perform(t, target);
    release();
    const made = t.session.lastEdit;
    const holds = target === 'next-step' || target === 'end-step' || target.includes(':');
    if (!holds || made === before) return;
    held = setTimeout(() => {
      if (t.session.lastEdit === made) t.undo();
    }, holdToUndo);
  };
  addEventListener('keydown', press);
  addEventListener('keyup', release);
  addEventListener('blur', release);
  return () => {
    release();
    removeEventListener('keydown', press);
    removeEventListener('keyup', release);
    removeEventListener('blur', release);
  };
}

/** Whether the key belongs to what has the focus: a field, a dialog, or Enter and Space on a button or link. */
function typing(event: KeyboardEvent, name: string): boolean {
  const on = event.target instanceof Element ? event.target : document.body;
  if (on.closest('input, textarea, select, [contenteditable], dialog, [data-own-keys]')) return true;
  return (name === 'Enter' || name === 'Space') && on.closest('button, a[href], summary') !== null;
}
