import { type FrameRate, frameAt, frameCount, frameStart, known, middleSeconds } from '../timeline/frame';

/** One part of a recording, as the player needs it. */
export interface FilmPart {
  id: string;
  /** As people say it: "part 2". */
  name: string;
  /** Where the bytes come from. */
  address: string;
  /** Media ms, as the server knows it; what the browser says may differ by some frames. */
  duration: number;
  rate: FrameRate;
  /** The frames do not all last equally long: only the browser knows where each begins. */
  variable: boolean;
  /** As the file says, for the message when no picture comes. */
  codec: string;
  /** Why it cannot be played, in words; "" when it can. */
  unusable: string;
}

/** What the player uses of a video element. */
export interface Video extends EventTarget {
  src: string;
  preload: string;
  currentTime: number;
  playbackRate: number;
  muted: boolean;
  readonly seeking: boolean;
  readonly ended: boolean;
  readonly readyState: number;
  readonly videoWidth: number;
  readonly error: { code: number } | null;
  play(): Promise<void>;
  pause(): void;
  load(): void;
  requestVideoFrameCallback?(callback: (now: number, frame: { mediaTime: number }) => void): number;
}

/** The number of the last frame of a part; 0 for an unknown rate. */
export function lastFrame(part: FilmPart): number {
  return Math.max(0, frameCount(part.rate, part.duration) - 1);
}

/** Where to send the player for a media time, and the media time of the frame that it will show. */
export function seekFor(part: FilmPart, ms: number): { seconds: number; ms: number } {
  const within = Math.min(Math.max(0, ms), part.duration);
  if (!known(part.rate)) return { seconds: within / 1000, ms: within };
  const frame = Math.min(frameAt(part.rate, within), lastFrame(part));
  return { seconds: middleSeconds(part.rate, frame), ms: frameStart(part.rate, frame) };
}

/** The media ms of a frame that the browser says it shows since mediaTime seconds. */
export function frameMs(part: FilmPart, mediaTime: number): number {
  const raw = Math.max(0, Math.ceil(mediaTime * 1000 - 0.001));
  if (part.variable || !known(part.rate)) return Math.min(raw, part.duration);
  const exact = (mediaTime * part.rate.num) / part.rate.den;
  const frame = Math.round(exact);
  // A quarter of a frame off, the file does not keep its own rate.
  if (Math.abs(exact - frame) > 0.25) return Math.min(raw, part.duration);
  return frameStart(part.rate, Math.min(Math.max(0, frame), lastFrame(part)));
}

/** The media ms of the frame at a playing position in seconds, which lies somewhere inside the frame. */
export function positionMs(part: FilmPart, seconds: number): number {
  return seekFor(part, Math.floor(seconds * 1000)).ms;
}

/** What to say when the browser gives up on a part. The codes are those of HTML's MediaError. */
export function errorWords(part: FilmPart, code: number): string {
  const name = part.name.charAt(0).toUpperCase() + part.name.slice(1);
  switch (code) {
    case 2:
      return `${name} of the recording stopped loading. Check the network, then try again; marks are kept.`;
    case 3:
      return `${name} of the recording is damaged here: this browser could not decode it. Jump past the place, or try again.`;
    default:
      return `This browser cannot play ${part.name} of the recording${part.codec ? ` (${part.codec})` : ''}. Register a copy in H.264, VP9 or AV1, or open the case in another browser.`;
  }
}

/** What to say when sound comes but no picture. */
export function noPictureWords(part: FilmPart): string {
  return `This browser cannot show the picture of this recording${part.codec ? ` (${part.codec})` : ''}. Register a copy in H.264, VP9 or AV1, or open the case in another browser.`;
}
