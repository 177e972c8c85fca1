import type { Job } from '../../../shared/contract/job.ts';
import type {
  SiteSizing,
  SiteSizingSummary,
  SizingRefusal,
} from '../../../shared/contract/site-sizing.ts';
import type { Tx } from '../../db/database.ts';
import { notFound, ruleBroken } from '../../domain/errors.ts';
import { jobRecord } from '../../jobs/job-record.ts';
import { requestJob } from '../../jobs/request-job.ts';
import { findSummary, listSizings, lockSizing } from './repository.ts';

export interface SizingFilter {
  readonly programmeId: string;
  /** Undefined: the latest of each site and all before it. */
  readonly latest?: boolean | undefined;
  readonly villageId?: string | undefined;
  readonly siteId?: string | undefined;
  readonly designRevisionId?: string | undefined;
  readonly refusal?: SizingRefusal | undefined;
  readonly jobId?: string | undefined;
}

export interface Sizings {
  /** Asks for the sizing of every site of a programme. */
  request(tx: Tx, programmeId: string): Promise<Job>;
  /** By site code; one more than `limit`, when there is more. */
  list(
    tx: Tx,
    filter: SizingFilter,
    after: readonly string[] | null,
    limit: number,
  ): Promise<SiteSizing[]>;
  summary(tx: Tx, programmeId: string): Promise<SiteSizingSummary>;
}

export function createSizings(): Sizings {
  return {
    async request(tx, programmeId) {
      if (!(await lockSizing(tx, programmeId))) throw notFound('programme', programmeId);
      const running = await jobRecord.running(tx, 'programme-sizing', { programmeId });
      if (running) {
        throw ruleBroken(
          'sizing-in-progress',
          `Job ${running} is sizing this programme; wait for it or cancel it.`,
        );
      }
      return requestJob(tx, 'programme-sizing', { programmeId });
    },
    list: listSizings,
    async summary(tx, programmeId) {
      const found = await findSummary(tx, programmeId);
      if (!found) throw notFound('programme', programmeId);
      return found;
    },
  };
}
