// The words of the room.
import type { FactorFamily, Harm, Preventability, VoteQuestion } from '../../../lib/api/meeting';

/** How far the line to the server is. */
export type LineState = 'connecting' | 'connected' | 'again' | 'ended';

export const lineWords: Record<LineState, string> = {
  connecting: 'Connecting…',
  connected: 'Connected',
  again: 'The connection is lost; trying again by itself. What you write is kept on this device until it is sent.',
  ended: 'No longer connected',
};

const endReasons: Record<string, string> = {
  'signed-out': 'You are signed out. Sign in again to follow the meeting.',
  closed:
    'The meeting is no longer open to you: the days on which its material can be seen are over, or you are no longer invited.',
};

/** Why the line ended, for the person. */
export const endText = (reason: string): string => endReasons[reason] ?? 'The server ended the connection.';

interface Answer<T extends string> {
  value: T;
  label: string;
}
export const harmAnswers: readonly Answer<Exclude<Harm, ''>>[] = [
  { value: 'none', label: 'None' },
  { value: 'low', label: 'Low' },
  { value: 'moderate', label: 'Moderate' },
  { value: 'severe', label: 'Severe' },
  { value: 'death', label: 'Death' },
];
export const preventabilityAnswers: readonly Answer<Exclude<Preventability, ''>>[] = [
  { value: 'not', label: 'Not preventable' },
  { value: 'probably-not', label: 'Probably not' },
  { value: 'probably', label: 'Probably' },
  { value: 'clearly', label: 'Clearly preventable' },
];

/** The families of the London Protocol (Taylor-Adams and Vincent), from the patient outwards. */
export const families: readonly { family: FactorFamily; name: string; hint: string }[] = [
  { family: 'patient', name: 'Patient', hint: 'the eye, its risk, health, language' },
  { family: 'task', name: 'Task', hint: 'guidance, how the step is designed' },
  { family: 'individual', name: 'Individual', hint: 'knowledge, skill, fatigue' },
  { family: 'team', name: 'Team', hint: 'communication, supervision, handover' },
  { family: 'environment', name: 'Environment', hint: 'equipment, instruments, light, list pressure' },
  { family: 'organisation', name: 'Organisation', hint: 'staffing, policy, priorities' },
  { family: 'institution', name: 'Institution', hint: 'regulation, funding, the wider system' },
];

export const questions: readonly { question: VoteQuestion; name: string; answers: readonly Answer<string>[] }[] = [
  { question: 'preventability', name: 'Could it have been prevented?', answers: preventabilityAnswers },
  { question: 'harm', name: 'How much harm came of it?', answers: harmAnswers },
];

/** What is left of the minutes of an item, from when it began. */
export function leftText(minutes: number, since: number, now: number): string {
  if (minutes === 0) return '';
  const left = minutes - (now - since) / 60_000;
  if (left <= -1) return `${Math.floor(-left)} min over`;
  if (left < 1) return left < 0 ? 'time is up' : 'less than 1 min left';
  return `${Math.ceil(left)} of ${minutes} min left`;
}
