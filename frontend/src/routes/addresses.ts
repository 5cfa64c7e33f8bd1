import type { Component } from 'svelte';
import type { Params } from '../lib/router';
import AgreementPage from './agreement/AgreementPage.svelte';
import CaseAgreement from './agreement/CaseAgreement.svelte';
import Beside from './beside/Beside.svelte';
import Case from './case/Case.svelte';
import Cases from './cases/Cases.svelte';
import Compare from './compare/Compare.svelte';
import Monitoring from './compare/Monitoring.svelte';
import FollowUpDue from './followup/FollowUpDue.svelte';
import Import from './import/Import.svelte';
import MeetingPage from './meetings/MeetingPage.svelte';
import Meetings from './meetings/Meetings.svelte';
import Minutes from './meetings/Minutes.svelte';
import Room from './meetings/room/Room.svelte';
import Themes from './meetings/Themes.svelte';
import Frozen from './outcomes/Frozen.svelte';
import Outcomes from './outcomes/Outcomes.svelte';
import Progress from './progress/Progress.svelte';
import Settings from './settings/Settings.svelte';
import SideBySide from './side/SideBySide.svelte';
import Today from './today/Today.svelte';
import UnitRecord from './unit/UnitRecord.svelte';

export interface PageProps {
  params: Params;
}
interface Address {
  pattern: string;
  page: Component<PageProps> | Component<Record<string, never>>;
}

/** Every address of the page. */
export const addresses: readonly Address[] = [
  { pattern: '/', page: Today },
  { pattern: '/sign-in', page: Today },
  { pattern: '/cases', page: Cases },
  { pattern: '/cases/new', page: Case },
  { pattern: '/cases/:case', page: Case },
  { pattern: '/cases/:case/:part', page: Case },
  { pattern: '/cases/:case/beside/:earlier', page: Beside },
  { pattern: '/compare', page: Compare },
  { pattern: '/compare/monitoring', page: Monitoring },
  { pattern: '/follow-up', page: FollowUpDue },
  { pattern: '/side-by-side', page: SideBySide },
  { pattern: '/outcomes', page: Outcomes },
  { pattern: '/outcomes/:study', page: Outcomes },
  { pattern: '/outcomes/frozen/:frozen', page: Frozen },
  { pattern: '/meetings', page: Meetings },
  { pattern: '/meetings/themes', page: Themes },
  { pattern: '/meetings/:meeting', page: MeetingPage },
  { pattern: '/meetings/:meeting/room', page: Room },
  { pattern: '/meetings/:meeting/minutes', page: Minutes },
  { pattern: '/agreement', page: AgreementPage },
  { pattern: '/agreement/:case', page: CaseAgreement },
  { pattern: '/progress', page: Progress },
  { pattern: '/progress/:person', page: Progress },
  { pattern: '/unit', page: UnitRecord },
  { pattern: '/import', page: Import },
  { pattern: '/import/:import', page: Import },
  { pattern: '/settings', page: Settings },
  { pattern: '/settings/:page', page: Settings },
  { pattern: '/settings/:page/:id', page: Settings },
];
