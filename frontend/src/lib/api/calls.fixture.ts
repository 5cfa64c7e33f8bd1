// Every function that asks the server, called once.
import * as agreement from './agreement';
import * as caseApi from './case';
import * as earlier from './earlier';
import * as findingApi from './finding';
import * as followup from './followup';
import * as inboxApi from './inbox';
import * as intake from './intake';
import * as level from './level';
import * as meetingApi from './meeting';
import * as outcome from './outcome';
import * as reading from './reading';
import * as record from './record';
import * as recording from './recording';
import * as report from './report';
import * as session from './session';
import * as steplist from './steplist';
import * as study from './study';
import * as teaching from './teaching';
import * as themeApi from './theme';
import type { Complication, User, Visit } from './types';
import * as unit from './unit';
import * as unitrecord from './unitrecord';
import * as user from './user';

/** The modules whose functions are meant. */
export const modules = [
  caseApi,
  earlier,
  findingApi,
  followup,
  inboxApi,
  intake,
  level,
  meetingApi,
  outcome,
  reading,
  record,
  recording,
  report,
  session,
  steplist,
  study,
  teaching,
  themeApi,
  unit,
  unitrecord,
  user,
];

const visit = { id: 'v', caseId: 'c', revision: 1 } as Visit;
const complication = { id: 'k', caseId: 'c', revision: 1 } as Complication;
const part = { source: 's', position: 1, rates: [], cuts: [], realTime: true, revision: 0 };
const list = { id: 'l', version: 1 };
const filter = { q: 'a', eye: 'OD', technique: 'phaco', operator: 'u', from: '2026-01-01', to: '2026-01-02' };
const more = { complication: 'any', state: 'signed', sort: 'grade', descending: true } as const;
const owing = { q: 'a', operator: 'u', window: 'day-1', overdue: true } as const;
/** Each function of this folder, called once. */
export const calls: [string, () => Promise<unknown>][] = [
  ['signIn', () => session.signIn('a', 'b')],
  ['signOut', () => session.signOut()],
  ['me', () => session.me()],
  ['changePassword', () => session.changePassword('a', 'b')],
  ['people', () => user.people()],
  ['users', () => user.users()],
  ['putUser', () => user.putUser({ id: 'u' } as User)],
  ['resetPassword', () => user.resetPassword('u')],
  ['unit', () => unit.unit()],
  ['putUnit', () => unit.putUnit({ name: 'x' } as never)],
  ['catalogue', () => unit.catalogue()],
  ['unitRecord', () => unitrecord.unitRecord({ from: '2026-01-01', operator: 'u' })],
  ['unitRecordFileAddress', () => fetch(unitrecord.unitRecordFileAddress({ technique: 'phaco' }), { method: 'GET' })],
  ['cases', () => caseApi.cases({ ...filter, ...more }, 'cursor', 60)],
  ['caseById', () => caseApi.caseById('c')],
  ['putCase', () => caseApi.putCase({ id: 'c' } as never)],
  ['permissions', () => caseApi.permissions('c')],
  ['caseHistory', () => caseApi.caseHistory('c')],
  ['today', () => caseApi.today()],
  ['clinicalRecord', () => record.clinicalRecord('c')],
  ['parts', () => recording.parts('c')],
  ['putPart', () => recording.putPart('c', 'p', part)],
  ['removePart', () => recording.removePart('c', 'p', 1)],
  ['checkParts', () => recording.checkParts('c')],
  ['roots', () => recording.roots()],
  ['folder', () => recording.folder('r', 'd')],
  ['partAddress', () => fetch(recording.partAddress('p'), { method: 'GET' })],
  ['readings', () => reading.readings('c')],
  ['putReading', () => reading.putReading('c', 'r', list)],
  ['acceptReading', () => reading.acceptReading('r', 'why')],
  ['readingsBeside', () => agreement.readingsBeside('c', 'r', 's')],
  ['readers', () => agreement.readers()],
  ['agreement', () => agreement.agreement('u', 'v')],
  ['readingState', () => reading.readingState('r')],
  ['editsAfter', () => reading.editsAfter('r', 3)],
  ['addEdits', () => reading.addEdits('r', [])],
  ['durations', () => reading.durations('r')],
  ['complications', () => outcome.complications('c')],
  ['putComplication', () => outcome.putComplication(complication)],
  ['removeComplication', () => outcome.removeComplication(complication)],
  ['visits', () => outcome.visits('c')],
  ['putVisit', () => outcome.putVisit(visit)],
  ['removeVisit', () => outcome.removeVisit(visit)],
  ['followUp', () => followup.followUp(owing, 'cursor')],
  ['followUpFileAddress', () => fetch(followup.followUpFileAddress(owing), { method: 'GET' })],
  ['beginImport', () => intake.beginImport(new File(['a'], 'a.csv'), 'Sheet1')],
  ['importById', () => intake.importById('i', 'new', 3)],
  ['putMatching', () => intake.putMatching('i', { fields: [], dates: '', decimals: '', baseline: false })],
  ['checkImport', () => intake.checkImport('i')],
  ['applyImport', () => intake.applyImport('i')],
  ['applyWholeImport', () => intake.applyWholeImport('i', new AbortController().signal)],
  ['cancelImport', () => intake.cancelImport('i')],
  ['importReportAddress', () => fetch(intake.importReportAddress('i'), { method: 'GET' })],
  ['earlierCases', () => earlier.earlierCases('c')],
  ['caseLevel', () => level.caseLevel('c')],
  ['inbox', () => inboxApi.inbox()],
  ['decideInbox', () => inboxApi.decideInbox('i', { state: 'waiting' })],
  ['caseReasons', () => inboxApi.caseReasons('c')],
  ['askToDiscuss', () => inboxApi.askToDiscuss('c', 'why')],
  ['draft', () => report.draft('c')],
  ['draftAddress', () => report.letter(report.draftAddress('c', 'html'), new AbortController().signal)],
  ['sign', () => report.sign('c', 'h', 1)],
  ['signedReports', () => report.signedReports('c')],
  ['signedAddress', () => report.letter(report.signedAddress('r', 'pdf'), new AbortController().signal)],
  ['signedContent', () => report.signedContent('r')],
  ['addAddendum', () => report.addAddendum('r', 'a', 'text')],
  ['outcomeChoices', () => study.outcomeChoices()],
  ['answerStudy', () => study.answerStudy({} as never, () => {}, new AbortController().signal).catch(() => {})],
  ['studies', () => study.studies()],
  ['study', () => study.study('s')],
  ['putStudy', () => study.putStudy({ id: 's' } as never)],
  ['removeStudy', () => study.removeStudy({ id: 's', revision: 1 } as never)],
  ['studyReport', () => fetch(study.studyReport('s', 'pdf'), { method: 'GET' })],
  ['studyTable', () => fetch(study.studyTable('s', 'xlsx'), { method: 'GET' })],
  ['freezeStudy', () => study.freezeStudy('s', 'h', 'd')],
  ['frozenStudies', () => study.frozenStudies()],
  ['frozenStudy', () => study.frozenStudy('f')],
  ['frozenContent', () => fetch(study.frozenContent('f', 'json'), { method: 'GET' })],
  ['findings', () => findingApi.findings('c')],
  ['putFinding', () => findingApi.putFinding({ id: 'f', caseId: 'c' } as never)],
  ['removeFinding', () => findingApi.removeFinding('c', 'f', 1)],
  ['clearPart', () => findingApi.clearPart('c', 'p', true)],
  ['blindedDraft', () => fetch(findingApi.blindedDraft('c', 'pdf'), { method: 'GET' })],
  ['blindedSigned', () => fetch(findingApi.blindedSigned('r', 'pdf'), { method: 'GET' })],
  ['feedback', () => teaching.feedback()],
  ['seeComments', () => teaching.seeComments('r', ['c'])],
  ['assessmentForms', () => teaching.assessmentForms()],
  ['putAssessmentForm', () => teaching.putAssessmentForm({ id: 'f' } as never)],
  ['assessments', () => teaching.assessments('c')],
  ['putAssessment', () => teaching.putAssessment({ id: 'a', caseId: 'c' } as never)],
  ['followed', () => teaching.followed()],
  ['goals', () => teaching.goals('u')],
  ['putGoal', () => teaching.putGoal({ id: 'g', traineeId: 'u' } as never)],
  ['progress', () => teaching.progress('u', '2026-01-01', '2026-02-01')],
  ['progressFileAddress', () => fetch(teaching.progressFileAddress('u', '', ''), { method: 'GET' })],
  ['themes', () => themeApi.themes()],
  ['themesFileAddress', () => fetch(themeApi.themesFileAddress(), { method: 'GET' })],
  ['minutesAddress', () => fetch(themeApi.minutesAddress('m', 'pdf'), { method: 'GET' })],
  ['stepLists', () => steplist.stepLists()],
  ['stepList', () => steplist.stepList(list)],
  ['putStepList', () => steplist.putStepList(list as never)],
  ['meetings', () => meetingApi.meetings()],
  ['meeting', () => meetingApi.meeting('m')],
  ['putMeeting', () => meetingApi.putMeeting({ id: 'm' } as never)],
  ['removeMeeting', () => meetingApi.removeMeeting('m', 1)],
  ['setMeetingState', () => meetingApi.setMeetingState('m', 'running')],
  ['putAttendance', () => meetingApi.putAttendance('m', { userId: 'u' } as never)],
  ['denominators', () => meetingApi.denominators('m')],
  ['putMeetingItem', () => meetingApi.putMeetingItem('m', { id: 'i' } as never)],
  ['removeMeetingItem', () => meetingApi.removeMeetingItem('m', 'i', 1)],
  ['composePack', () => meetingApi.composePack('m', 'i')],
  ['putItemRecord', () => meetingApi.putItemRecord('m', 'i', {} as never)],
  ['putVote', () => meetingApi.putVote('m', 'i', 'harm', 'low')],
  ['putVoting', () => meetingApi.putVoting('m', 'i', 'harm', true)],
  ['putRemark', () => meetingApi.putRemark('m', { id: 'r' } as never)],
  ['leadMeeting', () => meetingApi.leadMeeting('m', { itemId: 'i' } as never)],
  ['liveAddress', () => fetch(meetingApi.liveAddress('m'), { method: 'GET' })],
  ['itemPartAddress', () => fetch(meetingApi.itemPartAddress('m', 'i', 1), { method: 'GET' })],
  ['itemStillAddress', () => fetch(meetingApi.itemStillAddress('m', 'i', 'k', 320), { method: 'GET' })],
  ['meetingActions', () => meetingApi.meetingActions()],
  ['putMeetingAction', () => meetingApi.putMeetingAction({ id: 'a' } as never)],
];
