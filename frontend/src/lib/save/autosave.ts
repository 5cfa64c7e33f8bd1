// When to send what is typed, as a pure machine: a state and an event give the next state and what to do.

export type Phase =
  /** Everything typed is at the server. */
  | 'saved'
  /** Something was typed; it is sent after a short rest. */
  | 'waiting'
  | 'sending'
  /** The server refused what was typed; the next change tries again. */
  | 'refused'
  /** The server could not be reached; it is tried again by itself. */
  | 'retrying'
  /** Somebody else changed the same thing; a person must choose. */
  | 'conflict';

export interface SaveState {
  phase: Phase;
  /** Typed on while the last version was under way. */
  more: boolean;
  /** Failed tries in a row. */
  tries: number;
}
export type SaveEvent = 'edited' | 'due' | 'flush' | 'done' | 'refused' | 'failed' | 'stale' | 'chosen' | 'taken';
/** wait replaces a wait that is running; send sends the newest version. */
export type Effect = { wait: number } | 'send' | 'none';

export const start: SaveState = { phase: 'saved', more: false, tries: 0 };

/** How long to rest after a change before it is sent, ms. */
export const rest = 700;
const longestPause = 30_000;

/** The pause before try n (from 1), doubling. */
export function pause(tries: number): number {
  return Math.min(1000 * 2 ** (tries - 1), longestPause);
}

const to = (phase: Phase, tries = 0, more = false): SaveState => ({ phase, more, tries });

export function step(state: SaveState, event: SaveEvent): [SaveState, Effect] {
  switch (event) {
    case 'edited':
      if (state.phase === 'sending') return [{ ...state, more: true }, 'none'];
      if (state.phase === 'retrying' || state.phase === 'conflict') return [state, 'none'];
      return [to('waiting'), { wait: rest }];
    case 'due':
    case 'flush':
      if (state.phase === 'waiting' || state.phase === 'retrying') return [to('sending', state.tries), 'send'];
      return [state, 'none'];
    case 'chosen':
      return state.phase === 'conflict' ? [to('sending'), 'send'] : [state, 'none'];
    case 'taken':
      return state.phase === 'conflict' ? [to('saved'), 'none'] : [state, 'none'];
    default:
      return state.phase === 'sending' ? answered(state, event) : [state, 'none'];
  }
}

function answered(state: SaveState, event: 'done' | 'refused' | 'failed' | 'stale'): [SaveState, Effect] {
  switch (event) {
    case 'done':
      return state.more ? [to('waiting'), { wait: rest }] : [to('saved'), 'none'];
    case 'refused':
      return state.more ? [to('waiting'), { wait: rest }] : [to('refused'), 'none'];
    case 'failed':
      return [to('retrying', state.tries + 1), { wait: pause(state.tries + 1) }];
    case 'stale':
      return [to('conflict'), 'none'];
  }
}
