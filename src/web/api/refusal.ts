import type { ProblemBody } from '../../../shared/contract/problem.ts';

/** The service answered, and refused: an RFC 9457 problem. */
export class Refusal extends Error {
  readonly problem: ProblemBody;

  constructor(problem: ProblemBody) {
    super(problem.detail ?? problem.title);
    this.name = 'Refusal';
    this.problem = problem;
  }

  get code(): string {
    return this.problem.code;
  }

  get status(): number {
    return this.problem.status;
  }
}

/** No answer came: no network, or the service is not there. The request may be sent again. */
export class Unreachable extends Error {
  constructor(cause: unknown) {
    super('no answer', { cause });
    this.name = 'Unreachable';
  }
}

/** What the server said about one field, by JSON Pointer; undefined when it said nothing. */
export function fieldError(error: unknown, pointer: string): string | undefined {
  if (!(error instanceof Refusal)) return undefined;
  return error.problem.errors?.find((each) => each.pointer === pointer)?.message;
}

/** For `catch`: a list that the person's roles do not show is left out, so that the page stands. */
export function nothingIfForbidden(error: unknown): never[] {
  if (error instanceof Refusal && error.code === 'forbidden') return [];
  throw error;
}
