import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { keyName } from '../../lib/player/keys';
import { followKeys, holdToUndo, perform } from './commands';
import { openCase } from './tagging.fixture';
import type { Tagging } from './tagging.svelte';

beforeEach(() => localStorage.clear());
afterEach(() => {
  vi.useRealTimers();
  document.body.innerHTML = '';
});

const at = (t: Tagging, seconds: number) => t.film.seek({ part: 'A', ms: seconds * 1000 });
const sheet = (t: Tagging) =>
  t.lines.map((l) =>
    l.kind === 'marker'
      ? `${l.time / 1000} ${l.name} ${l.length === null ? '…' : l.length / 1000}`
      : `${l.time / 1000} ${l.kind}`,
  );

function press(key: string, more: KeyboardEventInit = {}, on: EventTarget = window): KeyboardEvent {
  const event = new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true, ...more });
  on.dispatchEvent(event);
  return event;
}

describe('marking by key', () => {
  it('takes one key for each boundary and sends each once', async () => {
    const { t, server } = await openCase();
    const stop = followKeys(t, keyName);
    for (const [seconds, key] of [
      [4, 'Enter'],
      [9, '.'],
      [12, 'Enter'],
      [20, 'm'],
      [21, '1'],
      [30, 'r'],
      [60, '.'],
    ] as const) {
      at(t, seconds);
      press(key);
    }
    stop();
    expect(sheet(t)).toEqual(['4 side-port 5', '12 ovd 8', '20 main-incision 10', '21 event', '30 rhexis 30']);
    expect(t.next[0]?.code).toBe('removal');
    await vi.waitFor(() => expect(t.session.saving.state).toBe('saved'));
    expect(server.edits.map((e) => e.seq)).toEqual([1, 2, 3, 4, 5, 6, 7]);
    expect(new Set(server.edits.map((e) => e.id)).size).toBe(7);
  });

  it('takes a mark back while its key is held, and only that', async () => {
    const { t } = await openCase();
    vi.useFakeTimers();
    const stop = followKeys(t, keyName);
    at(t, 4);
    press('Enter');
    window.dispatchEvent(new KeyboardEvent('keyup'));
    vi.advanceTimersByTime(holdToUndo + 1);
    at(t, 9);
    press('v');
    vi.advanceTimersByTime(holdToUndo + 1);
    stop();
    expect(sheet(t)).toEqual(['4 side-port …']);
  });

  it('leaves keys alone in fields, on buttons and while a dialog is open', async () => {
    const { t } = await openCase();
    const stop = followKeys(t, keyName);
    document.body.innerHTML = '<input /><button>x</button><div data-own-keys><i></i></div>';
    const [field, button, own] = ['input', 'button', 'i'].map((q) => document.querySelector(q) as Element);
    expect(press('Enter', {}, field).defaultPrevented).toBe(false);
    expect(press('Enter', {}, button).defaultPrevented).toBe(false);
    expect(press('v', {}, own).defaultPrevented).toBe(false);
    t.dialog = 'keys';
    press('v');
    t.dialog = undefined;
    expect(t.lines).toEqual([]);
    press('v', {}, button);
    expect(t.lines).toHaveLength(1);
    stop();
  });

  it('does not mark again while a letter repeats, but moves while an arrow does', async () => {
    const { t } = await openCase();
    const stop = followKeys(t, keyName);
    press('v', { repeat: true });
    expect(t.lines).toEqual([]);
    at(t, 1);
    press('ArrowRight', { repeat: true });
    stop();
    expect(t.film.ms).toBe(1040);
  });
});

describe('what a person may do', () => {
  it('reads and comments without marking when the reading is not theirs', async () => {
    const { t } = await openCase({ reading: { authorId: 'other', accepted: false } });
    perform(t, 'next-step');
    expect([t.lines.length, t.said.refused]).toEqual([0, true]);
    perform(t, 'comment');
    expect(t.drawer).toBe('comment');
  });

  it('neither without the right to comment', async () => {
    const { t } = await openCase({ permissions: { 'reading.view': true } });
    for (const target of ['comment', 'complication', 'step:ovd'] as const) {
      perform(t, target);
      expect([t.drawer, t.lines.length, t.said.refused]).toEqual([undefined, 0, true]);
    }
  });
});

describe('correcting', () => {
  it('walks the sheet, nudges, splits, merges, removes, undoes and redoes', async () => {
    const { t } = await openCase();
    for (const [seconds, target] of [
      [10, 'step:side-port'],
      [20, 'step:rhexis'],
      [40, 'end-step'],
    ] as const) {
      at(t, seconds);
      perform(t, target);
    }
    at(t, 0);
    perform(t, 'line-down');
    expect([t.selectedLine?.kind, t.film.ms]).toEqual(['marker', 10_000]);
    perform(t, 'line-down');
    perform(t, 'nudge-end-on');
    expect(sheet(t)[1]).toBe('20 rhexis 20.04');
    at(t, 30);
    perform(t, 'split');
    perform(t, 'merge');
    perform(t, 'start-here');
    expect(sheet(t)).toEqual(['10 side-port 20', '30 rhexis 10.04']);
    perform(t, 'remove');
    expect(sheet(t)).toEqual(['10 side-port 20']);
    perform(t, 'undo');
    perform(t, 'undo');
    expect(sheet(t)).toEqual(['10 side-port 10', '20 rhexis 20.04']);
    perform(t, 'redo');
    expect(sheet(t)).toEqual(['10 side-port 20', '30 rhexis 10.04']);
  });

  it('hands over in the running step, or in the next one between steps; the lead comes first', async () => {
    const { t } = await openCase();
    at(t, 5);
    perform(t, 'hand-over');
    expect(t.comingOperator).toBe('trainer');
    at(t, 10);
    perform(t, 'next-step');
    expect([...t.session.items.markers.values()][0]?.operatorId).toBe('trainer');
    at(t, 15);
    perform(t, 'hand-over');
    expect(t.result.operation.operators.map((o) => o.operator)).toEqual(['trainer', 'me']);
  });

  it('loops the selected step and says what to do without one', async () => {
    const { t } = await openCase();
    perform(t, 'loop');
    expect(t.said.refused).toBe(true);
    at(t, 10);
    perform(t, 'step:side-port');
    at(t, 20);
    perform(t, 'end-step');
    perform(t, 'line-down');
    perform(t, 'loop');
    expect(t.film.loop).toEqual({ from: { part: 'A', ms: 10_000 }, to: { part: 'A', ms: 20_000 } });
  });

  it('asks for the step list at a conversion', async () => {
    const { t } = await openCase();
    perform(t, 'event:conversion');
    expect(t.dialog).toBe('conversion');
  });
});
