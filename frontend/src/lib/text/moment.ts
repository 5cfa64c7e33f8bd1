// A moment of a recording: its words and its address.
import type { Instant, Part } from '../api/types';

/** Media time as m:ss.t, a tenth of a second being as fine as an eye sees. */
export function timeText(ms: number): string {
  const tenths = Math.floor(ms / 100);
  const minutes = Math.floor(tenths / 600);
  const seconds = (tenths % 600) / 10;
  return `${minutes}:${seconds.toFixed(1).padStart(4, '0')}`;
}

/** The time, and the part when there are several. */
export function momentText(at: Instant, parts: readonly Part[]): string {
  const position = parts.find((p) => p.id === at.part)?.position;
  return parts.length > 1 && position ? `${timeText(at.ms)} of part ${position}` : timeText(at.ms);
}

/** Where the page shows the moment. The time follows W3C Media Fragments: seconds. */
export function momentAddress(caseId: string, at: Instant): string {
  return `/cases/${encodeURIComponent(caseId)}/operation#part=${encodeURIComponent(at.part)}&t=${at.ms / 1000}`;
}
