/** The moment that an address names: a part (its id, or its position from 1) and a time in it. */
export interface Moment {
  part: string;
  /** Media ms. */
  ms: number;
  /** Media ms; set when the address names a span. */
  end?: number;
}

/**
 * Reads "#part=...&t=12.345" or "#t=12.345,14" (temporal dimension of W3C Media Fragments URI 1.0 in normal play
 * time: seconds, mm:ss or hh:mm:ss, with an optional "npt:"). Undefined when there is no readable time.
 */
export function readMoment(hash: string): Moment | undefined {
  const fields = new URLSearchParams(hash.replace(/^#/, ''));
  const time = fields.get('t');
  if (time === null) return undefined;
  const [from = '', to] = time.replace(/^npt:/, '').split(',');
  const start = from === '' ? 0 : seconds(from);
  if (start === undefined) return undefined;
  const moment: Moment = { part: fields.get('part') ?? '', ms: start };
  const end = to === undefined ? undefined : seconds(to);
  if (end !== undefined && end > start) moment.end = end;
  return moment;
}

/** The address of an instant: "#part=...&t=12.345". */
export function writeMoment(part: string, ms: number): string {
  return `#part=${encodeURIComponent(part)}&t=${(ms / 1000).toFixed(3)}`;
}

function seconds(text: string): number | undefined {
  const match = /^(?:(?:(\d+):)?([0-5]?\d):)?(\d+(?:\.\d+)?)$/.exec(text);
  if (!match) return undefined;
  const [, hours = '0', minutes = '0', rest = '0'] = match;
  if (text.includes(':') && Number(rest) >= 60) return undefined;
  return Math.round((Number(hours) * 3600 + Number(minutes) * 60 + Number(rest)) * 1000);
}
