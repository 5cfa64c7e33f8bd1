import { describe, expect, test } from 'vitest';
import { type Effect, pause, rest, type SaveEvent, type SaveState, start, step } from './autosave';

function run(...events: SaveEvent[]): { state: SaveState; effects: Effect[] } {
  let state = start;
  const effects: Effect[] = [];
  for (const event of events) {
    const [next, effect] = step(state, event);
    state = next;
    effects.push(effect);
  }
  return { state, effects };
}

describe('autosave', () => {
  test('rests, sends, is saved', () => {
    const { state, effects } = run('edited', 'edited', 'due', 'done');
    expect(effects).toEqual([{ wait: rest }, { wait: rest }, 'send', 'none']);
    expect(state).toEqual(start);
  });

  test('what is typed during sending is sent again', () => {
    const { state, effects } = run('edited', 'due', 'edited', 'done');
    expect(effects.at(-1)).toEqual({ wait: rest });
    expect(state.phase).toBe('waiting');
  });

  test('leaving the field sends at once, and only what waits', () => {
    expect(run('edited', 'flush').effects.at(-1)).toBe('send');
    expect(run('flush').effects).toEqual(['none']);
    expect(run('edited', 'due', 'flush').effects.at(-1)).toBe('none');
  });

  test('an unreachable server is tried again with longer pauses, and typing does not hurry it', () => {
    const { state, effects } = run('edited', 'due', 'failed', 'edited', 'due', 'failed');
    expect(effects).toEqual([{ wait: rest }, 'send', { wait: 1000 }, 'none', 'send', { wait: 2000 }]);
    expect(state).toMatchObject({ phase: 'retrying', tries: 2 });
    expect(pause(20)).toBe(30_000);
    expect(run('edited', 'due', 'failed', 'due', 'done').state).toEqual(start);
  });

  test('a refusal waits for the next change', () => {
    expect(run('edited', 'due', 'refused').state.phase).toBe('refused');
    expect(run('edited', 'due', 'refused', 'due').effects.at(-1)).toBe('none');
    expect(run('edited', 'due', 'refused', 'edited').effects.at(-1)).toEqual({ wait: rest });
    expect(run('edited', 'due', 'edited', 'refused').state.phase).toBe('waiting');
  });

  test('a conflict is never passed over without a choice', () => {
    const stale: SaveEvent[] = ['edited', 'due', 'stale'];
    for (const event of ['edited', 'due', 'flush', 'done', 'failed'] as const) {
      expect(run(...stale, event)).toMatchObject({ state: { phase: 'conflict' } });
      expect(run(...stale, event).effects.at(-1)).toBe('none');
    }
    expect(run(...stale, 'chosen').effects.at(-1)).toBe('send');
    expect(run(...stale, 'taken').state).toEqual(start);
  });

  test('no order of events sends twice at once or loses a change', () => {
    const events: SaveEvent[] = ['edited', 'due', 'flush', 'done', 'refused', 'failed', 'stale', 'chosen', 'taken'];
    let seed = 7;
    const random = () => {
      seed = (seed * 48271) % 2147483647;
      return seed;
    };
    for (let round = 0; round < 300; round++) {
      let state = start;
      let unsent = false;
      for (let i = 0; i < 40; i++) {
        const event = events[random() % events.length] ?? 'edited';
        const sending = state.phase === 'sending';
        const [next, effect] = step(state, event);
        if (event === 'edited') unsent = true;
        if (effect === 'send') {
          expect(sending).toBe(false);
          unsent = false;
        }
        if (event === 'taken' && state.phase === 'conflict') unsent = false;
        state = next;
        if (state.phase === 'saved') expect(unsent).toBe(false);
      }
    }
  });
});
