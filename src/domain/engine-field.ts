import { EngineError } from '../../shared/errors.ts';

/** Runs an engine call on one field of a body, so that its refusals point at that field. */
export function inField<T>(field: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof EngineError)) throw error;
    const { code, parameter, value, limit } = error;
    throw new EngineError(code, `${field}.${parameter}`, value, limit);
  }
}
