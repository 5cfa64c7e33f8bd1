// Which of our types is which of the server's description.
/**
 * Our name, the server's name, and how much of it we read: a part, the whole, or filled, of which the server always gives
 * what may be left out when it is sent.
 */
export const pairs: [string, string, 'whole' | 'part' | 'filled'][] = [
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
  ...[
    'EarlierCases',
    'BesideCase',
    'CaseLevel',
    'LevelComplication',
    'MinutesBefore',
    'HappenedBefore',
    'StepReference',
  ].map((name) => [name, name, 'whole'] as [string, string, 'whole']),
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
pairs.push(
  ...`Attendee Meeting Pack Moment ItemPart ItemOperator Factor LearningPoint ItemRecord VoteCount ItemVote AgendaItem
    MeetingAction Remark MeetingRights MeetingSheet MeetingLine Place MeetingChartPoint MeetingChart MeetingDenominators`
    .split(/\s+/)
    .map((name) => [name, name, 'filled'] as [string, string, 'filled']),
);
pairs.push(
  ...'Themes ThemeQuarter Theme ThemePoint ActionsClosed'
    .split(' ')
    .map((name) => [name, name, 'whole'] as [string, string, 'whole']),
);
