import { expect } from 'vitest';
import { EngineError, type EngineErrorCode } from '../../../shared/errors.ts';

/** Asserts that the call is refused with this code, naming this parameter. */
export function expectRefusal(call: () => unknown, code: EngineErrorCode, parameter: string): void {
  let refusal: unknown;
  try {
    call();
  } catch (error) {
    refusal = error;
  }
  expect(refusal).toBeInstanceOf(EngineError);
  const { code: actualCode, parameter: actualParameter } = refusal as EngineError;
  expect({ code: actualCode, parameter: actualParameter }).toEqual({ code, parameter });
}
