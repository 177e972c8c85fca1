export const PROBLEMS = {
  'invalid-request': [400, 'The request could not be read'],
  unauthenticated: [401, 'Sign in first'],
  'wrong-credentials': [401, 'E-mail or password is not right'],
  forbidden: [403, 'Your roles do not allow this'],
  'not-found': [404, 'There is no such record'],
  conflict: [409, 'The record clashes with another'],
  'in-progress': [409, 'The first attempt with this key is still running'],
  'stale-version': [412, 'The record has changed since you read it'],
  'too-large': [413, 'The request is too large'],
  'unsupported-media-type': [415, 'This kind of content is not taken here'],
  'invalid-content': [422, 'Some values are not acceptable'],
  'rule-broken': [422, 'A rule of the programme forbids this'],
  'out-of-range': [422, 'A value lies outside the range in which the method holds'],
  'key-reused': [422, 'This Idempotency-Key was used for another request'],
  'precondition-required': [428, 'Say which version you changed, with If-Match'],
  'too-many-requests': [429, 'Too many requests'],
  internal: [500, 'Something went wrong on our side'],
  unavailable: [503, 'The service cannot answer right now'],
  'no-space': [507, 'The service has no space left'],
} as const satisfies Readonly<Record<string, readonly [status: number, title: string]>>;

export type ProblemCode = keyof typeof PROBLEMS;

/** One value that is not acceptable: where it stands (JSON Pointer into the body), and why. */
export interface FieldError {
  readonly pointer: string;
  readonly code: string;
  readonly message: string;
  readonly rejectedValue?: unknown;
}

export interface ProblemDetails {
  readonly detail?: string;
  /** Which rule, for `rule-broken`. */
  readonly rule?: string;
  readonly errors?: readonly FieldError[];
  readonly retryAfterS?: number;
  readonly extra?: Readonly<Record<string, unknown>>;
  readonly cause?: unknown;
}

/** A refusal that the caller is meant to understand; becomes an RFC 9457 problem. */
export class DomainError extends Error {
  readonly code: ProblemCode;
  readonly details: ProblemDetails;

  constructor(code: ProblemCode, details: ProblemDetails = {}) {
    super(details.detail ?? PROBLEMS[code][1], { cause: details.cause });
    this.name = 'DomainError';
    this.code = code;
    this.details = details;
  }
}

export const notFound = (noun: string, id: string) =>
  new DomainError('not-found', { detail: `There is no ${noun} ${id}.` });

/** A rule of the programme refuses; `rule` is its stable name. */
export const ruleBroken = (rule: string, detail: string, errors?: readonly FieldError[]) =>
  new DomainError('rule-broken', { rule, detail, ...(errors ? { errors } : {}) });

/** One or more values of the body are well formed but wrong. */
export const invalidContent = (errors: readonly FieldError[]) =>
  new DomainError('invalid-content', { errors });
