// What goes wrong on the way to the server and back, in words that a person can act on.

export interface FieldProblem {
  /** JSON path such as "before.age". */
  field: string;
  message: string;
}

export interface ProblemBody {
  title?: string;
  detail?: string;
  code?: string;
  requestId?: string;
  fields?: FieldProblem[] | null;
  yours?: unknown;
  theirs?: unknown;
  retryAfterSeconds?: number;
}

/** A refusal of the server (application/problem+json), or the failure to reach it (status 0, code "offline"). */
export class Problem extends Error {
  readonly status: number;
  readonly code: string;
  readonly requestId: string;
  readonly fields: FieldProblem[];
  readonly yours: unknown;
  readonly theirs: unknown;
  readonly retryAfterSeconds: number;

  constructor(status: number, body: ProblemBody) {
    super(body.detail || body.title || `The server answered with status ${status}.`);
    this.name = 'Problem';
    this.status = status;
    this.code = body.code ?? '';
    this.requestId = body.requestId ?? '';
    this.fields = body.fields ?? [];
    this.yours = body.yours;
    this.theirs = body.theirs;
    this.retryAfterSeconds = body.retryAfterSeconds ?? 0;
  }

  /** Trying the same again later may help. */
  get passing(): boolean {
    return this.status === 0 || this.status === 429 || this.status >= 500;
  }

  /** The message for one field, or for the fields below it; "" when there is none. */
  at(field: string): string {
    return this.fields.find((f) => f.field === field || f.field.startsWith(`${field}.`))?.message ?? '';
  }
}

/** The problem for a request that got no answer. */
export function unreachable(): Problem {
  return new Problem(0, {
    code: 'offline',
    detail: 'The server cannot be reached. Check the network; what you typed is still here.',
  });
}

/** Reads the problem out of an answer that is not a success. Never fails: an answer that is no problem+json still becomes one. */
export async function problemOf(answer: Response): Promise<Problem> {
  const type = answer.headers.get('content-type') ?? '';
  if (type.includes('json')) {
    try {
      const body: unknown = await answer.json();
      if (body && typeof body === 'object') return new Problem(answer.status, body as ProblemBody);
    } catch {
      // A cut-off body says no more than the status does.
    }
  }
  return new Problem(answer.status, {});
}

/** Any thrown value as a Problem. */
export function asProblem(thrown: unknown): Problem {
  if (thrown instanceof Problem) return thrown;
  const detail = thrown instanceof Error ? thrown.message : String(thrown);
  return new Problem(-1, { code: 'page', detail: `The page failed: ${detail}. Load it again; saved work is safe.` });
}
