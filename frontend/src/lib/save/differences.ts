// Two versions of one thing, side by side, field by field.

export interface Difference {
  /** JSON path such as "before.age". */
  path: string;
  yours: unknown;
  theirs: unknown;
}
export type Choice = 'yours' | 'theirs';

/** What the server sets by itself; nobody chooses it. */
const bookkeeping = new Set(['id', 'caseId', 'revision', 'change', 'createdAt', 'createdBy', 'updatedAt']);

/** The fields in which two versions differ, in the order of the fields. A list counts as one field. */
export function differences(yours: object, theirs: object): Difference[] {
  const found: Difference[] = [];
  compare('', yours as Fields, theirs as Fields, found);
  return found;
}

type Fields = Record<string, unknown>;

function compare(prefix: string, yours: Fields, theirs: Fields, found: Difference[]): void {
  for (const name of new Set([...Object.keys(theirs), ...Object.keys(yours)])) {
    if (prefix === '' && bookkeeping.has(name)) continue;
    const path = prefix + name;
    const [mine, other] = [yours[name], theirs[name]];
    if (isFields(mine) && isFields(other)) compare(`${path}.`, mine, other, found);
    else if (!same(mine, other)) found.push({ path, yours: mine, theirs: other });
  }
}

/** Their version with the chosen fields of yours put in, so that it can be sent over theirs. */
export function choose<T extends object>(theirs: T, found: Difference[], choices: Record<string, Choice>): T {
  const result = structuredClone(theirs);
  for (const { path, yours } of found) {
    if (choices[path] === 'yours') set(result as Fields, path.split('.'), yours);
  }
  return result;
}

function set(fields: Fields, path: string[], value: unknown): void {
  const [name = '', ...below] = path;
  if (below.length > 0) {
    const inner = isFields(fields[name]) ? fields[name] : {};
    fields[name] = inner;
    set(inner, below, value);
  } else if (value === undefined) delete fields[name];
  else fields[name] = structuredClone(value);
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** Equal as JSON, where an absent field, undefined, null and "" all mean unknown. */
export function same(a: unknown, b: unknown): boolean {
  return canonical(a) === canonical(b);
}

function canonical(value: unknown): string {
  return (
    JSON.stringify(value, (_, v: unknown) => {
      if (v === null || v === '') return undefined;
      if (!isFields(v)) return v;
      const sorted = Object.entries(v).sort(([x], [y]) => (x < y ? -1 : 1));
      return Object.fromEntries(sorted);
    }) ?? ''
  );
}
