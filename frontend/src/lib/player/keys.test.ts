import { describe, expect, it } from 'vitest';
import { actions } from './actions';
import { readMoment, writeMoment } from './address';
import { KeyMap, readOverrides, writeOverrides } from './keymap';
import { type KeyPress, keyName, writtenKey } from './keys';

function press(key: string, more: Partial<KeyPress> = {}): KeyPress {
  return { key, code: '', ctrlKey: false, altKey: false, shiftKey: false, metaKey: false, ...more };
}

describe('key names', () => {
  it.each([
    ['c', press('c'), 'c'],
    ['capital by caps lock', press('C'), 'c'],
    ['shift and a letter', press('C', { shiftKey: true }), 'Shift+C'],
    ['a character reached with shift', press('?', { shiftKey: true }), '?'],
    ['a digit of a French keyboard', press('0', { shiftKey: true, code: 'Digit0' }), '0'],
    ['space', press(' '), 'Space'],
    ['arrow with shift', press('ArrowLeft', { shiftKey: true }), 'Shift+ArrowLeft'],
    ['control', press('z', { ctrlKey: true }), 'Ctrl+Z'],
    ['command on a Mac', press('z', { metaKey: true, shiftKey: true }), 'Ctrl+Shift+Z'],
    ['bracket by AltGr', press('[', { ctrlKey: true, altKey: true }), '['],
    ['keypad comma', press(',', { code: 'NumpadDecimal' }), '.'],
    ['Cyrillic letter', press('с', { code: 'KeyC' }), 'c'],
    ['Greek letter with shift', press('Σ', { code: 'KeyS', shiftKey: true }), 'Shift+S'],
    ['German z stays where it is written', press('z', { code: 'KeyY' }), 'z'],
    ['a modifier alone', press('Shift', { shiftKey: true }), ''],
  ])('%s', (_, given, name) => {
    expect(keyName(given)).toBe(name);
  });

  it('are written for people', () => {
    expect(['Shift+ArrowLeft', 'c', '+', 'Ctrl+Shift+Z'].map(writtenKey)).toEqual([
      'Shift ←',
      'C',
      '+',
      'Ctrl Shift Z',
    ]);
  });
});

describe('the key map', () => {
  const steps = [{ code: 'ovd', name: 'OVD', key: 'v' }];
  const events = [{ code: 'view-lost', name: 'View lost', key: '5' }];

  it('has no key twice among the actions', () => {
    expect(new KeyMap([], []).conflicts).toEqual([]);
    expect(new Set(actions.map((a) => a.id)).size).toBe(actions.length);
  });

  it('knows steps, events and what holding a key repeats', () => {
    const map = new KeyMap(steps, events);
    expect(['v', '5', 'Enter', 'q'].map((k) => map.target(k))).toEqual([
      'step:ovd',
      'event:view-lost',
      'next-step',
      undefined,
    ]);
    expect([map.repeats('frame-on'), map.repeats('step:ovd')]).toEqual([true, false]);
  });

  it('follows what a person changed and tells a conflict', () => {
    const map = new KeyMap(steps, events, { 'step:ovd': ['w'], undo: ['5'] });
    expect([map.target('w'), map.target('v'), map.target('5')]).toEqual(['step:ovd', undefined, 'undo']);
    expect(map.conflicts).toEqual([{ key: '5', target: 'event:view-lost', holder: 'undo' }]);
  });

  it('is kept per person and survives rubbish', () => {
    localStorage.clear();
    expect(writeOverrides(localStorage, 'me', { undo: ['F9'] })).toBe(true);
    expect(readOverrides(localStorage, 'me')).toEqual({ undo: ['F9'] });
    expect(readOverrides(localStorage, 'other')).toEqual({});
    localStorage.setItem('zonule.keys.me', '{"undo": 5, "redo": ["F8"]');
    expect(readOverrides(localStorage, 'me')).toEqual({});
    localStorage.setItem('zonule.keys.me', '{"undo": 5, "redo": ["F8"]}');
    expect(readOverrides(localStorage, 'me')).toEqual({ redo: ['F8'] });
  });
});

describe('addresses of moments', () => {
  // The forms of time are those of W3C Media Fragments URI 1.0, 4.2.1 (from memory).
  it.each([
    ['#part=p1&t=12.345', { part: 'p1', ms: 12_345 }],
    ['#t=1:02', { part: '', ms: 62_000 }],
    ['#t=npt:0:01:02.5,70', { part: '', ms: 62_500, end: 70_000 }],
    ['#t=,10', { part: '', ms: 0, end: 10_000 }],
    ['#t=20,10', { part: '', ms: 20_000 }],
    ['#part=p1', undefined],
    ['#t=1:99', undefined],
    ['#t=soon', undefined],
  ])('%s', (hash, moment) => {
    expect(readMoment(hash)).toEqual(moment);
  });

  it('come back from what is written', () => {
    expect(readMoment(writeMoment('a b', 151_480))).toEqual({ part: 'a b', ms: 151_480 });
  });
});
