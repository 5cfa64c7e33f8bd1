// One case with what belongs to it, as the four parts of its page share it.
import * as api from '../../lib/api/case';
import { putVisit, visits as visitsOf } from '../../lib/api/outcome';
import { asProblem, type Problem } from '../../lib/api/problem';
import { readings as readingsOf } from '../../lib/api/reading';
import { type ClinicalRecord, clinicalRecord } from '../../lib/api/record';
import { parts as partsOf } from '../../lib/api/recording';
import { draft as draftReport, type Report, signedReports } from '../../lib/api/report';
import type { Case, Part, Permissions, Reading, SignedReport, User, Visit, Window } from '../../lib/api/types';
import { newId } from '../../lib/ids';
import { lastBefore } from '../../lib/record/lasttime';
import { firstDate } from '../../lib/record/windows';
import { Draft } from '../../lib/save/draft.svelte';
import { Latest } from '../../lib/save/latest';
import { session } from '../../lib/session.svelte';
import { dayOf } from '../../lib/text/format';

/** What may be done with a case that the server does not have yet. */
const ownCase: Permissions = { 'case.view': true, 'case.edit': true, 'case.share': true };

export class CaseFile {
  draft = $state.raw<Draft<Case>>();
  visits = $state.raw<Draft<Visit>[]>([]);
  permissions = $state.raw<Permissions>({});
  parts = $state.raw<Part[]>([]);
  readings = $state.raw<Reading[]>([]);
  reports = $state.raw<SignedReport[]>([]);
  /** The server's draft report; what it says of the case stands beside the forms. */
  report = $state.raw<Report>();
  /** What follows from what is saved; it comes shortly after each save. */
  record = $state.raw<ClinicalRecord>();
  /** The operation before this one by the same operator, if the reader may see it. */
  last = $state.raw<Case>();
  problem = $state.raw<Problem>();

  readonly id: string;
  readonly #created: () => void;
  readonly #record = new Latest(
    (signal) => clinicalRecord(this.id, signal),
    (record) => {
      this.record = record;
    },
  );

  /** created is called when the case is at the server: after each save. */
  constructor(id: string, created: () => void) {
    this.id = id;
    this.#created = created;
  }

  get isNew(): boolean {
    return this.draft?.stored.revision === 0;
  }

  /** Begins a new case with what can be foreseen: today, the one who is signed in, phacoemulsification. */
  begin(user: User): void {
    this.permissions = ownCase;
    this.draft = this.#draft({
      id: this.id,
      revision: 0,
      pseudonym: '',
      eye: '' as Case['eye'],
      date: dayOf(Date.now()),
      before: {},
      operation: {
        techniquePlanned: 'phaco',
        techniquePerformed: 'phaco',
      },
      operators: [{ userId: user.id, role: 'operator', grade: user.grade }],
      sharedWith: [],
      createdBy: user.id,
      createdAt: 0,
      updatedAt: 0,
      change: 0,
    });
  }

  /** Reads the case and all that the reader may see of it. */
  async read(): Promise<void> {
    this.problem = undefined;
    try {
      const [value, permissions] = await Promise.all([api.caseById(this.id), api.permissions(this.id)]);
      this.permissions = permissions;
      await this.readRest();
      this.draft = this.#draft(value);
      void this.#record.now();
      void this.readReport();
    } catch (thrown) {
      this.problem = asProblem(thrown);
    }
  }

  /** Reads again what the reader may do; a case just made has more rights than a new one. */
  async readPermissions(): Promise<void> {
    try {
      this.permissions = await api.permissions(this.id);
      this.recompute();
      void this.readReport();
    } catch (thrown) {
      this.problem = asProblem(thrown);
    }
  }

  /** Reads again what the dots of the four parts tell of. */
  async readRest(): Promise<void> {
    const may = this.permissions;
    const [parts, readings, visits, reports] = await Promise.all([
      may['recording.view'] ? partsOf(this.id) : [],
      may['reading.view'] ? readingsOf(this.id) : [],
      visitsOf(this.id),
      may['report.view'] ? signedReports(this.id) : [],
    ]);
    this.parts = parts;
    this.readings = readings;
    this.reports = reports;
    this.visits = this.#merge(visits);
  }

  /** Asks again what follows from the record: something of it was saved. */
  recompute(): void {
    this.#record.ask();
  }

  /** Reads the draft report again. Until there is one, what it would say is left out. */
  async readReport(): Promise<void> {
    if (!this.permissions['report.view']) return;
    try {
      this.report = await draftReport(this.id);
    } catch (thrown) {
      if (!asProblem(thrown).passing) this.report = undefined;
    }
  }

  /** Looks up what the operator did last time. Without an answer nothing is offered. */
  async readLast(): Promise<void> {
    const now = this.draft?.value;
    const operator = now?.operators.find((o) => o.role === 'operator')?.userId;
    if (!now || !operator) return;
    try {
      const page = await api.cases({ operator, to: now.date, sort: 'date', descending: true }, '', 5);
      const found = lastBefore(page.cases ?? [], this.id, now.date);
      if (found) this.last = await api.caseById(found.id);
    } catch (thrown) {
      if (!asProblem(thrown).passing) this.last = undefined;
    }
  }

  /** readRest for when nobody waits: what could not be read again stays as it was. */
  async refresh(): Promise<void> {
    try {
      await Promise.all([this.readRest(), this.readReport()]);
    } catch (thrown) {
      if (!asProblem(thrown).passing) this.problem = asProblem(thrown);
    }
  }

  /** Opens a visit that is not recorded yet; it is kept once something is typed. */
  openVisit(window: Window): void {
    const today = dayOf(Date.now());
    const value: Visit = {
      id: newId(),
      caseId: this.id,
      revision: 0,
      window,
      date: firstDate(window, session.unit?.windows ?? [], this.draft?.value.date ?? today, today),
    };
    this.visits = [...this.visits, this.#visit(value)];
  }

  dropVisit(draft: Draft<Visit>): void {
    this.visits = this.visits.filter((v) => v !== draft);
    draft.discard();
    this.recompute();
  }

  /** Sends what waits and gives true once all of it is at the server, false when something is stuck. */
  async settled(): Promise<boolean> {
    const drafts = this.#drafts();
    for (const d of drafts) d.flush();
    while (drafts.some((d) => d.state.phase === 'sending' || d.state.phase === 'waiting')) {
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    return drafts.every((d) => d.state.phase === 'saved');
  }

  /** Whether something typed would be lost by leaving. */
  get stuck(): boolean {
    return this.#drafts().some(
      (d) => d.stuck && (d.value.revision > 0 || d.state.phase !== 'saved' || hasName(d.value)),
    );
  }

  get unsaved(): boolean {
    return this.stuck || this.#drafts().some((d) => d.state.phase !== 'saved');
  }

  end(): void {
    this.#record.end();
    for (const d of this.#drafts()) d.end();
  }

  #drafts(): (Draft<Case> | Draft<Visit>)[] {
    return this.draft ? [this.draft, ...this.visits] : [...this.visits];
  }

  #draft(value: Case): Draft<Case> {
    return new Draft(value, {
      send: api.putCase,
      ready: (c) => c.revision > 0 || lacking(c) === '',
      saved: () => this.#saved(),
    });
  }

  #saved(): void {
    this.#created();
    this.recompute();
    void this.readReport();
  }

  #visit(value: Visit): Draft<Visit> {
    return new Draft(value, {
      send: putVisit,
      ready: (v) => v.revision > 0 || holdsFindings(v),
      saved: () => {
        this.recompute();
        void this.readReport();
      },
    });
  }

  #merge(read: Visit[]): Draft<Visit>[] {
    const known = new Map(this.visits.map((d) => [d.value.id, d]));
    const merged = read.map((v) => {
      const draft = known.get(v.id);
      draft?.renew(v);
      return draft ?? this.#visit(v);
    });
    return [...merged, ...this.visits.filter((d) => d.value.revision === 0 && !read.some((v) => v.id === d.value.id))];
  }
}

function hasName(value: Case | Visit): boolean {
  return 'pseudonym' in value ? value.pseudonym !== '' : holdsFindings(value);
}

/** A visit is worth keeping once it holds a finding; a planned date alone is none. */
export function holdsFindings(v: Visit): boolean {
  const texts = [v.acuity, v.uncorrectedAcuity, v.medication, v.note];
  return (
    texts.some(Boolean) ||
    Boolean(v.exam || v.fellowExam || v.refraction) ||
    [v.pressure, v.oedemaGrade, v.thickness].some((n) => n !== undefined)
  );
}

/** What a new case lacks before it can be saved; "" when nothing. */
export function lacking(c: Case): string {
  const words = [c.pseudonym.trim() ? '' : 'a pseudonym', c.eye ? '' : 'the eye', c.date ? '' : 'the date'];
  const found = words.filter(Boolean).join(' and ');
  return found && `it needs ${found}.`;
}
