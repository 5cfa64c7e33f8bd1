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
  const answer = await ask(method, to, body, signal);
  if (answer.status === 204) return undefined as T;
  const text = await whole(answer);
  if (!text) return undefined as T;
  try {
    return JSON.parse(text) as T;
  } catch {
    throw cutOff(answer.status);
  }
}

/** Gives the answer as text, such as a page. Throws Problem. */
export async function getText(to: string, signal?: AbortSignal): Promise<string> {
  return whole(await ask('GET', to, undefined, signal));
}

/** Sends a request whose answer comes line by line, a JSON value on each, and hands each over as it arrives. Throws Problem. */
export async function sendForLines(
  to: string,
  body: unknown,
  each: (line: unknown) => void,
  signal: AbortSignal,
): Promise<void> {
  const answer = await ask('POST', to, body, signal);
  const reader = answer.body?.pipeThrough(new TextDecoderStream()).getReader();
  let rest = '';
  try {
    for (let part = await reader?.read(); part && !part.done; part = await reader?.read()) {
      const lines = `${rest}${part.value}`.split('\n');
      rest = lines.pop() ?? '';
      for (const line of lines) if (line) each(JSON.parse(line));
    }
    if (rest) each(JSON.parse(rest));
  } catch (thrown) {
    if (signal.aborted || thrown instanceof Problem) throw thrown;
    throw cutOff(answer.status);
  }
}

async function ask(method: string, to: string, body: unknown, signal: AbortSignal | undefined): Promise<Response> {
  let answer: Response;
  try {
    answer = await fetch(to, {
      method,
      credentials: 'same-origin',
      ...carried(body),
      signal,
    });
  } catch (thrown) {
    if (signal?.aborted) throw thrown;
    throw unreachable();
  }
  if (answer.ok) return answer;
  const problem = await problemOf(answer);
  if (problem.code === 'signed-out') whenSignedOut();
  throw problem;
}

/** A file goes as it is, anything else as JSON. */
function carried(body: unknown): RequestInit {
  if (body === undefined) return { headers: {} };
  if (body instanceof Blob) return { headers: { 'content-type': 'application/octet-stream' }, body };
  return { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) };
}

async function whole(answer: Response): Promise<string> {
  try {
    return await answer.text();
  } catch {
    throw cutOff(answer.status);
  }
}

function cutOff(status: number): Problem {
  return new Problem(status, { code: 'unavailable', detail: 'The answer of the server was cut off. Try again.' });
}

export const get = <T>(to: string, signal?: AbortSignal) => send<T>('GET', to, undefined, signal);
/** A list; an empty one may travel as null. */
export const getList = async <T>(to: string) => (await get<T[] | null>(to)) ?? [];
export const put = <T>(to: string, body: unknown) => send<T>('PUT', to, body);
export const post = <T>(to: string, body: unknown = {}) => send<T>('POST', to, body);
export const remove = (to: string) => send<void>('DELETE', to);
