import { type StorageTrace, type StorageTraceInput, simulateStorage } from './storage-balance.ts';
import { STORAGE_TIE_L } from './storage-run.ts';

export interface SteadyStorage {
  /** The second pass, which starts with what the first left. */
  readonly trace: StorageTrace;
  /** Whether the second pass ends as it began, so that further passes would repeat it. */
  readonly isSteady: boolean;
}

/**
 * Cyclic state of a tank: the record is run twice end to end and the second pass reported, so that
 * neither an empty nor a full start colours the result.
 *
 * @param input as simulateStorage; the start volume is that of the first pass
 * @returns the trace of the second pass, and whether it repeats
 * @throws {EngineError} as simulateStorage
 * @source own-cyclic-pass
 */
export function simulateSteadyStorage(input: StorageTraceInput): SteadyStorage {
  const first = simulateStorage(input);
  const carriedL = first.endOfDayVolumeL.at(-1) as number;
  const trace = simulateStorage({ ...input, initialVolumeL: carriedL });
  const leftL = trace.endOfDayVolumeL.at(-1) as number;
  return { trace, isSteady: Math.abs(leftL - carriedL) <= STORAGE_TIE_L };
}
