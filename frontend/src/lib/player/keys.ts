/** What of a keyboard event decides which key it is. */
export interface KeyPress {
  key: string;
  code: string;
  ctrlKey: boolean;
  altKey: boolean;
  shiftKey: boolean;
  metaKey: boolean;
}

const modifiers = new Set([
  'Control',
  'Shift',
  'Alt',
  'Meta',
  'AltGraph',
  'CapsLock',
  'NumLock',
  'Dead',
  'Process',
  'Unidentified',
]);

/**
 * The name of what was pressed, such as "c", "Enter", ".", "Shift+ArrowLeft" or "Ctrl+Z"; "" for a modifier alone.
 * A plain letter is lower case; with Shift it is "Shift+C". For other characters the layout decides how they are
 * reached, so that Shift is not part of their name. Letters of a script without a-z fall back to the place of the key.
 */
export function keyName(press: KeyPress): string {
  if (modifiers.has(press.key)) return '';
  const base = baseName(press);
  const letter = /^[a-z]$/i.test(base);
  const character = base.length === 1;
  let name = '';
  if (press.ctrlKey || press.metaKey) name += 'Ctrl+';
  if (press.altKey) name += 'Alt+';
  // AltGr reports Ctrl and Alt together while it types a character such as "[".
  if (press.ctrlKey && press.altKey && character && !letter) name = '';
  if (press.shiftKey && (letter || !character)) name += 'Shift+';
  return name + (letter ? (name === '' ? base.toLowerCase() : base.toUpperCase()) : base);
}

function baseName(press: KeyPress): string {
  if (press.key === ' ' || press.key === 'Spacebar') return 'Space';
  // A German or French keypad types a comma where the key says a point.
  if (press.code === 'NumpadDecimal') return '.';
  const place = /^Key([A-Z])$/.exec(press.code)?.[1];
  if (place && press.key.length === 1 && (press.key.codePointAt(0) ?? 0) > 0x24f) return place.toLowerCase();
  return press.key;
}

const written: Record<string, string> = {
  ArrowLeft: '←',
  ArrowRight: '→',
  ArrowUp: '↑',
  ArrowDown: '↓',
  Backspace: '⌫',
  Delete: 'Del',
};

/** The key as shown beside a button: "Shift ←", "C", "Ctrl Z". */
export function writtenKey(name: string): string {
  if (name === '+') return '+';
  const parts = name.split('+');
  const last = parts.pop() as string;
  return [...parts, written[last] ?? (last.length === 1 ? last.toUpperCase() : last)].join(' ');
}

/** The key as a screen reader should say it, and as aria-keyshortcuts wants it. */
export function spokenKey(name: string): string {
  return name === '+' ? 'Plus' : name.replace('Ctrl+', 'Control+');
}
