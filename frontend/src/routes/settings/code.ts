/** A code for a new name: lower-case letters, digits and hyphens, and none that is taken. */
export function codeFor(name: string, taken: readonly string[]): string {
  const plain = name
    .normalize('NFKD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '');
  const base = plain || 'step';
  let code = base;
  for (let n = 2; taken.includes(code); n++) code = `${base}-${n}`;
  return code;
}

/** The first letter that no step uses yet, else "". */
export function freeKey(taken: readonly string[]): string {
  return [...'abcdefghijklmnopqrstuvwxyz'].find((letter) => !taken.includes(letter)) ?? '';
}
