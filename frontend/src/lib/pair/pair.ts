// Two recordings at the same step: which steps both have, which part of each film is played, and how fast. Pure.
import type { Episode } from '../reading/desk';
import type { Instant } from '../timeline/clock';

/** A part of a film to be played, with its length in media ms. */
export interface Stretch {
  from: Instant;
  to: Instant;
  length: number;
}

/** A length of film, as the player needs it. */
export interface FilmLength {
  id: string;
  duration: number;
}

/** The closed episodes of a step, by start. */
export function episodesOf(all: readonly Episode[], step: string): Episode[] {
  return all.filter((e) => e.marker.step === step && e.marker.end != null);
}

/** The codes of the steps that both readings have closed episodes of, in the order in which the first one does them. */
export function sharedSteps(a: readonly Episode[], b: readonly Episode[]): string[] {
  const there = new Set(b.filter((e) => e.marker.end != null).map((e) => e.marker.step));
  const codes = a.filter((e) => e.marker.end != null && there.has(e.marker.step)).map((e) => e.marker.step);
  return [...new Set(codes)];
}

/** What is played of an episode; undefined when it lies in no part or has no length. */
export function stretchOf(parts: readonly FilmLength[], episode: Episode | undefined): Stretch | undefined {
  const from = episode?.marker.start;
  const to = episode?.marker.end;
  if (!from || !to) return undefined;
  const first = parts.findIndex((p) => p.id === from.part);
  const last = parts.findIndex((p) => p.id === to.part);
  if (first < 0 || last < first) return undefined;
  let length = to.ms - from.ms;
  for (let i = first; i < last; i++) length += parts[i]?.duration ?? 0;
  return length > 0 ? { from, to, length } : undefined;
}

/** How far a film has come in its stretch, 0 to 1. */
export function progressIn(parts: readonly FilmLength[], stretch: Stretch, at: Instant): number {
  const index = (id: string) => parts.findIndex((p) => p.id === id);
  const first = index(stretch.from.part);
  const now = index(at.part);
  let done = at.ms - stretch.from.ms;
  for (let i = first; i < now; i++) done += parts[i]?.duration ?? 0;
  for (let i = now; i < first; i++) done -= parts[i]?.duration ?? 0;
  return Math.min(1, Math.max(0, done / stretch.length));
}

/** The speeds that browsers play without leaving frames out or falling silent. */
export const slowest = 0.25;
export const fastest = 4;

/** How two films are paced: each at the speed of the operation, or so that both take as long as the longer one. */
export type Pace = 'own' | 'same-length';

/** The speeds of both, and whether one of them had to be held back so that the lengths no longer agree. */
export interface Speeds {
  a: number;
  b: number;
  held: boolean;
}

/** The speed of each film at a common speed; with 'same-length' the shorter stretch is slowed down. */
export function speedsOf(pace: Pace, common: number, a: number, b: number): Speeds {
  if (pace === 'own' || a <= 0 || b <= 0) return { a: common, b: common, held: false };
  const longer = Math.max(a, b);
  const wanted = { a: (common * a) / longer, b: (common * b) / longer };
  const within = (speed: number) => Math.min(fastest, Math.max(slowest, speed));
  const given = { a: within(wanted.a), b: within(wanted.b) };
  return { ...given, held: given.a !== wanted.a || given.b !== wanted.b };
}
