import { EngineError, type EngineErrorCode } from '../../shared/errors.ts';
import { DomainError, type ProblemCode, type ProblemDetails } from '../domain/errors.ts';

/** A refusal in the form that passes between threads; there an Error keeps only its message. */
export type Thrown =
  | { readonly kind: 'domain'; readonly code: ProblemCode; readonly details: ProblemDetails }
  | {
      readonly kind: 'engine';
      readonly code: EngineErrorCode;
      readonly parameter: string;
      readonly value: unknown;
      readonly limit: string;
    };

/** The refusal to send to the other thread, or null for a fault, which passes as it is. */
export function packThrown(error: unknown): Thrown | null {
  if (error instanceof DomainError) {
    const { cause: _, ...details } = error.details;
    return { kind: 'domain', code: error.code, details };
  }
  if (error instanceof EngineError) {
    const { code, parameter, value, limit } = error;
    return { kind: 'engine', code, parameter, value, limit };
  }
  return null;
}

export function unpackThrown(thrown: Thrown): Error {
  return thrown.kind === 'domain'
    ? new DomainError(thrown.code, thrown.details)
    : new EngineError(thrown.code, thrown.parameter, thrown.value, thrown.limit);
}
