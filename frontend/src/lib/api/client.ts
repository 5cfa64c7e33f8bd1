// The one way to the server. Only this folder knows addresses of the interface.
import { Problem, problemOf, unreachable } from './problem';

const prefix = '/api/v1';

/** Builds an address below the prefix: parts are escaped, empty query values left out. */
export function address(parts: string[], query: Record<string, string | number | boolean | undefined> = {}): string {
  const search = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) {
    if (value !== undefined && value !== '' && value !== false) search.set(name, String(value));
  }
  const text = search.toString();
  return `${prefix}/${parts.map(encodeURIComponent).join('/')}${text ? `?${text}` : ''}`;
}

let whenSignedOut: () => void = () => {};

/** Names what happens when the server no longer knows who is asking. */
export function onSignedOut(action: () => void): void {
  whenSignedOut = action;
}

/** Sends a request and gives the JSON answer; undefined for an empty one. Throws Problem. */
export async function send<T>(method: string, to: string, body?: unknown, signal?: AbortSignal): Promise<T> {
  let answer: Response;
  try {
    answer = await fetch(to, {
      method,
      credentials: 'same-origin',
      headers: body === undefined ? {} : { 'content-type': 'application/json' },
      body: body === undefined ? undefined : JSON.stringify(body),
      signal,
    });
  } catch (thrown) {
    if (thrown instanceof DOMException && thrown.name === 'AbortError') throw thrown;
    throw unreachable();
  }
  if (!answer.ok) {
    const problem = await problemOf(answer);
    if (problem.code === 'signed-out') whenSignedOut();
    throw problem;
  }
  if (answer.status === 204) return undefined as T;
  const text = await answer.text();
  if (!text) return undefined as T;
  try {
    return JSON.parse(text) as T;
  } catch {
    throw new Problem(answer.status, {
      code: 'unavailable',
      detail: 'The answer of the server was cut off. Try again.',
    });
  }
}

export const get = <T>(to: string, signal?: AbortSignal) => send<T>('GET', to, undefined, signal);
/** A list; an empty one may travel as null. */
export const getList = async <T>(to: string) => (await get<T[] | null>(to)) ?? [];
export const put = <T>(to: string, body: unknown) => send<T>('PUT', to, body);
export const post = <T>(to: string, body: unknown = {}) => send<T>('POST', to, body);
export const remove = (to: string) => send<void>('DELETE', to);
