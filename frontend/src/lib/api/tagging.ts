// The recording, the step list and the reading as they travel: the JSON of package annotate.
import type { FrameRate, Instant, RateSpan, Technique } from './types';

export type PartState = 'ok' | 'missing' | 'changed' | 'not-playable';
export interface MediaFacts {
  container: string;
  videoCodec: string;
  audioCodec?: string;
  width: number;
  height: number;
  frameRate: FrameRate;
  variableFrameRate: boolean;
  duration: number;
  size: number;
  recordedAt?: number;
  modifiedAt: number;
  fingerprint: string;
  playable: boolean;
  reason?: string;
}
export interface Part {
  id: string;
  caseId: string;
  revision: number;
  position: number;
  /** "root-name:relative/path" or an https address. */
  source: string;
  facts: MediaFacts;
  state: PartState;
  stateReason?: string;
  offset?: number;
  rates: RateSpan[];
  cuts: number[];
  realTime: boolean;
  /** Who said that nothing is burned into the picture, and when; absent when nobody did. */
  clearedBy?: string;
  clearedAt?: number;
  checkedAt: number;
}

export interface StepListRef {
  id: string;
  version: number;
}
export interface Stage {
  code: string;
  name: string;
}
export interface Step {
  code: string;
  name: string;
  stage: string;
  key: string;
  exclusive: boolean;
  required: boolean;
  begins: string;
  ends: string;
}
export interface EventKind {
  code: string;
  name: string;
  key: string;
}
export interface StepList {
  id: string;
  version: number;
  name: string;
  technique: Technique;
  shipped: boolean;
  stages: Stage[];
  steps: Step[];
  eventKinds: EventKind[];
  createdAt: number;
}

export interface Reading {
  id: string;
  caseId: string;
  authorId: string;
  stepList: StepListRef;
  accepted: boolean;
  seq: number;
  createdAt: number;
  choice?: ReadingChoice;
}
/** Who made a reading the accepted one, when and why. */
export interface ReadingChoice {
  by: string;
  at: number;
  reason: string;
}
export type Thing = 'marker' | 'event' | 'comment' | 'acceptance';
export interface Marker {
  id: string;
  seq: number;
  step: string;
  stepList: StepListRef;
  start: Instant;
  end: Instant | null;
  operatorId?: string;
  note?: string;
}
export interface ReadingEvent {
  id: string;
  seq: number;
  kind: string;
  at: Instant;
  note?: string;
  stepList?: StepListRef;
}
export interface Shape {
  kind: 'arrow' | 'ring' | 'line';
  /** Fractions of the frame's width and height. */
  points: [number, number][];
}
export interface Comment {
  id: string;
  seq: number;
  authorId: string;
  madeAt: number;
  at: Instant;
  end?: Instant;
  text: string;
  replyTo?: string;
  shape?: Shape;
  settled: boolean;
}
export interface Acceptance {
  id: string;
  seq: number;
  reason: string;
  authorId: string;
}
export interface Change {
  thing: Thing;
  id: string;
  base: number;
  marker?: Marker;
  event?: ReadingEvent;
  comment?: Comment;
  acceptance?: Acceptance;
}
export interface Edit {
  id: string;
  action: string;
  undoes?: string;
  changes: Change[];
  seq: number;
  authorId: string;
  madeAt: number;
}
export interface ReadingState extends Reading {
  markers: Marker[];
  events: ReadingEvent[];
  comments: Comment[];
  acceptances: Acceptance[];
}
export interface EditAnswer {
  id: string;
  seq: number;
  alreadyDone: boolean;
}
