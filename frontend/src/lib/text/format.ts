// Numbers and times as they are shown. Rounding happens only here.

/** A length of time in ms as m:ss or h:mm:ss, rounded to whole seconds, half up. Negative lengths keep their sign. */
export function duration(ms: number): string {
  const sign = ms < 0 ? '−' : '';
  const seconds = Math.floor(Math.abs(ms) / 1000 + 0.5);
  const s = String(seconds % 60).padStart(2, '0');
  const minutes = Math.floor(seconds / 60);
  if (minutes < 60) return `${sign}${minutes}:${s}`;
  return `${sign}${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}:${s}`;
}

/** Reads m:ss, h:mm:ss or plain seconds (12 or 12.5) as ms; undefined when it is none of them. */
export function parseDuration(text: string): number | undefined {
  const found = /^(?:(?:(\d+):)?(\d+):)?(\d+(?:[.,]\d+)?)$/.exec(text.trim());
  if (!found) return undefined;
  const [, hours = '0', minutes, last = '0'] = found;
  const seconds = Number(last.replace(',', '.'));
  if (minutes !== undefined && seconds >= 60) return undefined;
  if (found[1] !== undefined && Number(minutes) >= 60) return undefined;
  return Math.round(((Number(hours) * 60 + Number(minutes ?? 0)) * 60 + seconds) * 1000);
}

/** A date YYYY-MM-DD as 4 Mar 2026; as it is when it is no date. */
export function dateText(date: string): string {
  const found = /^(\d{4})-(\d{2})-(\d{2})$/.exec(date);
  if (!found) return date;
  const [, year, month, day] = found;
  const name = monthNames[Number(month) - 1];
  return name ? `${Number(day)} ${name} ${year}` : date;
}

const monthNames = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** The day of an instant here, YYYY-MM-DD. */
export function dayOf(instant: number): string {
  const d = new Date(instant);
  return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}`;
}

/** An instant as 4 Mar 2026, 14:05, in the time zone of this browser. */
export function instantText(instant: number): string {
  const d = new Date(instant);
  return `${dateText(dayOf(instant))}, ${two(d.getHours())}:${two(d.getMinutes())}`;
}

/** A date some days later. */
export function daysAfter(date: string, days: number): string {
  const at = Date.parse(`${date}T00:00:00Z`);
  return Number.isNaN(at) ? date : new Date(at + days * 86_400_000).toISOString().slice(0, 10);
}

/** Whole days from one date to another; undefined when either is no date. */
export function daysBetween(from: string, to: string): number | undefined {
  const days = (Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / 86_400_000;
  return Number.isNaN(days) ? undefined : days;
}

/** A file size in the units of SI. */
export function sizeText(bytes: number): string {
  if (bytes < 1000) return `${bytes} B`;
  for (const [unit, factor] of [
    ['kB', 1e3],
    ['MB', 1e6],
    ['GB', 1e9],
  ] as const) {
    const value = bytes / factor;
    if (value < 999.5 || unit === 'GB') return `${value < 10 ? value.toFixed(1) : value.toFixed(0)} ${unit}`;
  }
  return '';
}

/** A rational frame rate as frames per second, at most three decimals. */
export function rateText(rate: { num: number; den: number }): string {
  if (rate.num <= 0 || rate.den <= 0) return '';
  return `${Number((rate.num / rate.den).toFixed(3))} frames/s`;
}

function two(n: number): string {
  return String(n).padStart(2, '0');
}
