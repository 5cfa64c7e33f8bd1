// @vitest-environment node
// The types of this folder are written by hand; here each is held against the description that the server is tested with.
import { readFileSync } from 'node:fs';
import ts from 'typescript';
import { afterEach, describe, expect, test, vi } from 'vitest';
import * as agreement from './agreement';
import * as caseApi from './case';
import * as findingApi from './finding';
import * as followup from './followup';
import * as inboxApi from './inbox';
import * as intake from './intake';
import * as level from './level';
import * as outcome from './outcome';
import * as reading from './reading';
import * as record from './record';
import * as recording from './recording';
import * as report from './report';
import * as session from './session';
import * as steplist from './steplist';
import * as study from './study';
import * as teaching from './teaching';
import type { Complication, User, Visit } from './types';
import * as unit from './unit';
import * as unitrecord from './unitrecord';
import * as user from './user';

interface Schema {
  type?: string | string[];
  properties?: Record<string, Schema>;
  required?: string[];
  items?: Schema;
  $ref?: string;
  anyOf?: Schema[];
  additionalProperties?: unknown;
}
interface Operation {
  parameters?: { name: string; in: string }[];
}
const description = JSON.parse(
  readFileSync(new URL('../../../../testdata/api/openapi.json', import.meta.url), 'utf8'),
) as {
  paths: Record<string, Record<string, Operation>>;
  components: { schemas: Record<string, Schema> };
};

interface Member {
  optional: boolean;
  kind: string;
}
const interfaces = new Map<string, { members: Map<string, Member>; base: string[] }>();
const aliases = new Map<string, string>();

for (const file of [
  'types',
  'tagging',
  'case',
  'consent',
  'finding',
  'followup',
  'inbox',
  'intake',
  'level',
  'record',
  'recording',
  'report',
  'compare',
  'study',
  'teaching',
  'unit',
  'unitrecord',
]) {
  const text = readFileSync(new URL(`./${file}.ts`, import.meta.url), 'utf8');
  for (const s of ts.createSourceFile(file, text, ts.ScriptTarget.ES2022, true).statements) {
    if (ts.isTypeAliasDeclaration(s)) aliases.set(s.name.text, s.type.getText());
    if (!ts.isInterfaceDeclaration(s)) continue;
    const members = new Map<string, Member>();
    for (const m of s.members) {
      if (ts.isPropertySignature(m) && m.type) {
        members.set(m.name.getText(), { optional: m.questionToken !== undefined, kind: m.type.getText() });
      }
    }
    const base = s.heritageClauses?.flatMap((h) => h.types.map((t) => t.expression.getText())) ?? [];
    interfaces.set(s.name.text, { members, base });
  }
}

function membersOf(name: string): Map<string, Member> {
  const found = interfaces.get(name);
  if (!found) throw new Error(`There is no interface ${name}.`);
  return new Map([...found.base.flatMap((b) => [...membersOf(b)]), ...found.members]);
}

/** What JSON holds for a type of ours: string, number, boolean, array or object; with "null" if it may be null. */
function jsonOf(kind: string): Set<string> {
  const parts = kind
    .replace(/\s+/g, ' ')
    .replace(/^\| /, '')
    .split(/ \| (?![^<{[]*[>}\]])/);
  const found = new Set<string>();
  for (const part of parts.map((p) => p.trim())) {
    if (part === 'null') found.add('null');
    else if (/\[\]$|^\[/.test(part)) found.add('array');
    else if (/^'|^string$/.test(part)) found.add('string');
    else if (part === 'number' || part === 'boolean') found.add(part);
    else if (aliases.has(part)) for (const k of jsonOf(aliases.get(part) ?? '')) found.add(k);
    else found.add('object');
  }
  return found;
}

function schemaJson(schema: Schema): Set<string> {
  if (schema.anyOf) return new Set(schema.anyOf.flatMap((s) => [...schemaJson(s)]));
  if (schema.$ref) return new Set(['object']);
  const types = Array.isArray(schema.type) ? schema.type : [schema.type ?? 'object'];
  return new Set(types.map((t) => (t === 'integer' ? 'number' : t)));
}

/** Our name, the server's name, and whether we read only a part of it. */
const pairs: [string, string, 'whole' | 'part'][] = [
  ...[
    'User',
    'Person',
    'Unit',
    'EndothelialExam',
    'EyeBefore',
    'Operation',
    'Operator',
    'Case',
    'StageShare',
    'CaseSummary',
  ],
  ...[
    'CasePage',
    'MediaFacts',
    'Part',
    'StepListRef',
    'Stage',
    'Step',
    'EventKind',
    'StepList',
    'Reading',
    'Marker',
    'Shape',
  ],
  ...[
    'Comment',
    'Acceptance',
    'Change',
    'Edit',
    'ReadingState',
    'EditAnswer',
    'ComplicationKind',
    'Finding',
    'ReportSection',
    'Complication',
    'Visit',
  ],
  ...['FollowUpItem', 'FollowUpPage'],
  ...['Intake', 'IntakeFile', 'IntakeMatching', 'IntakeRow', 'IntakeField'],
  ...['Addendum', 'SignedReport', 'Waiting', 'Today', 'Catalogue', 'FolderEntry'],
  ...['Consent', 'TriggerRule', 'TriggerChoice', 'Inbox', 'InboxEntry', 'InboxDecision'],
].map((name) => [name, name, 'whole'] as [string, string, 'whole']);
pairs.push(
  ['Instant', 'TimelineInstant', 'whole'],
  ['FrameRate', 'TimelineFrameRate', 'whole'],
  ['RateSpan', 'TimelineRateSpan', 'whole'],
  ['ReadingEvent', 'Event', 'whole'],
  ['PartChange', 'Placement', 'whole'],
  ['Report', 'DraftOutputBody', 'part'],
  ['ReportMoment', 'ReportMoment', 'part'],
  ['AuditEntry', 'AuditEntry', 'part'],
  ['ClinicalRecord', 'Record', 'part'],
  ['Converted', 'Converted', 'part'],
  ['VisitAcuity', 'VisitAcuity', 'part'],
  ['AcuityRecord', 'AcuityRecord', 'whole'],
  ['RiskFactor', 'TimelineRiskFactor', 'whole'],
  ['ExpectedRisk', 'TimelineRisk', 'part'],
  ['DensityLoss', 'TimelineLossResult', 'part'],
  ['DensityPoint', 'DensityPoint', 'part'],
  ['MissingItem', 'MissingItem', 'whole'],
  ['SetShare', 'SetShare', 'whole'],
  ['Completeness', 'Completeness', 'whole'],
  ['Doubt', 'FieldError', 'whole'],
  ...(
    [
      'Recalibration',
      'RuptureJudgement',
      'EnergyRecord',
      'UnitRecord',
      'UnitRupture',
      'KindCount',
      'KindRate',
      'Rate',
    ] as const
  ).map((name) => [name, name, 'whole'] as [string, string, 'whole']),
  ...`Feedback ScaleLevel AssessmentItem AssessmentForm AssessmentFormRef Mark Assessment Goal ProgressStep
    ProgressComments AssessedLine ProgressAssessment Progress`
    .split(/\s+/)
    .map((name) => [name, name, 'whole'] as [string, string, 'whole']),
  ...['CaseLevel', 'LevelComplication', 'MinutesBefore', 'HappenedBefore', 'StepReference'].map(
    (name) => [name, name, 'whole'] as [string, string, 'whole'],
  ),
  ...['CaseExposure', 'CaseLoss', 'CaseShare'].map(
    (name) => [name, `Outcome${name}`, 'whole'] as [string, string, 'whole'],
  ),
  ['ClockSpan', 'TimelineSpan', 'whole'],
  ['Tally', 'CohortTally', 'whole'],
  ['CodeCount', 'CohortCodeCount', 'whole'],
  ['UnitItem', 'UnitItem', 'whole'],
  ['LackingCase', 'LackingCase', 'whole'],
  ['UnitCompleteness', 'UnitCompleteness', 'whole'],
  ...(
    [
      ['Definition', 'OutcomeDefinition'],
      ['Outcome', 'Outcome'],
      ['Exposure', 'OutcomeExposure'],
      ['Population', 'OutcomePopulation'],
      ['Measure', 'OutcomeMeasure'],
      ['Spread', 'OutcomeSpread'],
      ['Difference', 'OutcomeDifference'],
      ['Adjustment', 'OutcomeAdjustment'],
      ['Size', 'OutcomeSize'],
      ['Sensitivity', 'OutcomeSensitivity'],
      ['RelationPoint', 'OutcomeChartPoint'],
      ['RelationChart', 'OutcomeChart'],
      ['Relation', 'OutcomeRelation'],
      ['CountingError', 'OutcomeCountingError'],
      ['StudyResult', 'OutcomeResult'],
      ['OutcomeChoices', 'StudyChoices'],
      ['Study', 'Study'],
      ['StudyEntry', 'StudyEntry'],
      ['FrozenStudy', 'FrozenStudy'],
      ['AnswerLine', 'StudyLine'],
    ] as const
  ).map(([ours, theirs]) => [ours, theirs, 'whole'] as [string, string, 'whole']),
);

describe('the types are those of the description', () => {
  test.each(pairs)('%s is %s', (ours, theirs, how) => {
    const schema = description.components.schemas[theirs];
    const properties = schema?.properties ?? {};
    const members = membersOf(ours);
    if (how === 'whole') expect([...members.keys()].sort()).toEqual(Object.keys(properties).sort());
    for (const [name, member] of members) {
      const property = properties[name];
      expect(property, `${theirs}.${name}`).toBeDefined();
      if (!property) continue;
      const required = schema?.required?.includes(name) ?? false;
      expect(member.optional, `${ours}.${name} may be absent`).toBe(!required);
      const wanted = schemaJson(property);
      const given = jsonOf(member.kind);
      // An empty list may travel as null; who reads lists takes both.
      if (wanted.has('array')) given.delete('null');
      if (wanted.has('array')) wanted.delete('null');
      expect([...given].sort(), `${ours}.${name}`).toEqual([...wanted].sort());
    }
  });
});

describe('every address exists', () => {
  afterEach(() => vi.unstubAllGlobals());

  const visit = { id: 'v', caseId: 'c', revision: 1 } as Visit;
  const complication = { id: 'k', caseId: 'c', revision: 1 } as Complication;
  const part = { source: 's', position: 1, rates: [], cuts: [], realTime: true, revision: 0 };
  const list = { id: 'l', version: 1 };
  const filter = { q: 'a', eye: 'OD', technique: 'phaco', operator: 'u', from: '2026-01-01', to: '2026-01-02' };
  const more = { complication: 'any', state: 'signed', sort: 'grade', descending: true } as const;
  const owing = { q: 'a', operator: 'u', window: 'day-1', overdue: true } as const;
  const calls: [string, () => Promise<unknown>][] = [
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
    ['stepLists', () => steplist.stepLists()],
    ['stepList', () => steplist.stepList(list)],
    ['putStepList', () => steplist.putStepList(list as never)],
  ];

  test.each(calls)('%s', async (_, call) => {
    const fetched = vi.fn().mockResolvedValue(new Response(null, { status: 204 }));
    vi.stubGlobal('fetch', fetched);
    await call();
    const [to, { method }] = fetched.mock.calls[0] as [string, { method: string }];
    const asked = new URL(to, 'http://unit.example');
    const found = Object.entries(description.paths).find(([path, operations]) => {
      const pattern = new RegExp(`^(?:/api/v1)?${path.replace(/^\/api\/v1/, '').replace(/\{[^}]+\}/g, '[^/]+')}$`);
      return pattern.test(asked.pathname) && operations[method.toLowerCase()];
    });
    expect(found, `${method} ${asked.pathname}`).toBeDefined();
    const parameters = found?.[1][method.toLowerCase()]?.parameters ?? [];
    const known = parameters.filter((p) => p.in === 'query').map((p) => p.name);
    for (const name of asked.searchParams.keys()) expect(known, `${method} ${asked.pathname}`).toContain(name);
  });

  test('nothing of this folder is left out', () => {
    const exported = [
      caseApi,
      findingApi,
      followup,
      inboxApi,
      intake,
      level,
      outcome,
      reading,
      record,
      recording,
      report,
      session,
      steplist,
      study,
      teaching,
      unit,
      unitrecord,
      user,
    ].flatMap((m) => Object.keys(m));
    const tried = new Set([...calls.map(([name]) => name), 'letter']);
    expect(exported.filter((name) => !tried.has(name))).toEqual([]);
  });
});
