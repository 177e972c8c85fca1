import type { StorageReliabilityBody } from '../../../shared/contract/calculation-storage-reliability.ts';
import {
  type StorageReliability,
  storageReliability,
} from '../../../shared/hydrology/storage-reliability.ts';

/** Reliability of several tanks over one record. */
export function storageReliabilityTask(body: StorageReliabilityBody): StorageReliability {
  const { firstFlushMm, initialVolumeL, ...run } = body;
  return storageReliability({
    ...run,
    ...(firstFlushMm === undefined ? {} : { firstFlushMm }),
    ...(initialVolumeL === undefined ? {} : { initialVolumeL }),
  });
}
