// Addresses of the page as patterns. Pure: what is on the screen lives in place.svelte.ts.

export type Params = Record<string, string>;
export interface Match<T> {
  route: T;
  params: Params;
}

/** Matches one path with one pattern such as "/cases/:id/review"; undefined when it does not fit. */
export function paramsOf(pattern: string, path: string): Params | undefined {
  const wanted = segments(pattern);
  const given = segments(path);
  if (wanted.length !== given.length) return undefined;
  const params: Params = {};
  for (let i = 0; i < wanted.length; i++) {
    const want = wanted[i] ?? '';
    const got = given[i] ?? '';
    if (want.startsWith(':')) {
      const value = decoded(got);
      if (value === undefined) return undefined;
      params[want.slice(1)] = value;
    } else if (want !== got) return undefined;
  }
  return params;
}

/** The first entry of the table whose pattern fits; the order of the table decides. */
export function match<T extends { pattern: string }>(table: readonly T[], path: string): Match<T> | undefined {
  for (const route of table) {
    const params = paramsOf(route.pattern, path);
    if (params) return { route, params };
  }
  return undefined;
}

/** Puts values into a pattern. */
export function fill(pattern: string, params: Params): string {
  const path = segments(pattern).map((s) => (s.startsWith(':') ? encodeURIComponent(params[s.slice(1)] ?? '') : s));
  return `/${path.join('/')}`;
}

function segments(path: string): string[] {
  return path.split('/').filter((s) => s !== '');
}

function decoded(text: string): string | undefined {
  try {
    return decodeURIComponent(text);
  } catch {
    return undefined;
  }
}
