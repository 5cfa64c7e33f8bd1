import { readingState } from '../api/reading';
import type { Reading } from '../api/types';
import { type Keeper, openKeeper } from './kept';
import { ReadingSession } from './session.svelte';

let keeper: Promise<Keeper | undefined> | undefined;
const open = new Map<string, Promise<ReadingSession>>();

function theKeeper(): Promise<Keeper | undefined> {
  keeper ??= openKeeper().catch(() => undefined);
  return keeper;
}

/**
 * Opens a reading, or gives the one that this page has open already: it goes on sending what was marked when another
 * page of the case is looked at.
 */
export function openReading(reading: Reading, person: string): Promise<ReadingSession> {
  const key = `${person} ${reading.id}`;
  const known = open.get(key);
  if (known) return known.then((session) => session.renewed(reading));
  const opening = begin(reading, person).catch((thrown: unknown) => {
    open.delete(key);
    throw thrown;
  });
  open.set(key, opening);
  return opening;
}

async function begin(reading: Reading, person: string): Promise<ReadingSession> {
  const session = new ReadingSession(reading, person, await theKeeper());
  await session.open();
  return session;
}

/** Sends what earlier pages of this browser have left unsent, in whichever reading it is. */
export async function sendLeftovers(person: string): Promise<void> {
  const readings = (await (await theKeeper())?.readings(person)) ?? [];
  for (const id of readings) await openReading(await readingState(id), person);
}
