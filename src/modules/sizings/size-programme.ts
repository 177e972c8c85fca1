import { z } from 'zod';
import { id } from '../../../shared/contract/values.ts';
import { ENGINE_VERSION } from '../../../shared/version.ts';
import type { JobHandler, RunningJob } from '../../jobs/run-job.ts';
import { runInWorker } from '../../workers/pool.ts';
import type { SizedSite } from '../../workers/tasks/size-sites.ts';
import {
  readPlan,
  readSites,
  type SiteToSize,
  type SizingPlan,
  writeSizings,
} from './plan-repository.ts';
import { findSummary } from './repository.ts';

/** Sites of one step: a few tenths of a second of calculation. */
const SITES_PER_STEP = 500;
const STEP_LIMIT_MS = 60_000;

const jobInput = z.object({ programmeId: id });

/**
 * Sizes every site of a programme in steps, each in a worker thread and each written whole. The next
 * step is calculated while the last one is written. An attempt after a crash goes on where it ended.
 */
export const sizeProgramme: JobHandler = async (job) => {
  const { programmeId } = jobInput.parse(job.input);
  const plan = await job.read((tx) => readPlan(tx, programmeId, job.id));
  let done = plan.done;
  let calculating = await beginStep(job, plan, programmeId, null);
  while (calculating) {
    const { sized, lastSiteId } = calculating;
    const next = await beginStep(job, plan, programmeId, lastSiteId);
    const written = await sized;
    done += written.length;
    const total = Math.max(plan.total, done);
    const source = { jobId: job.id, programmeId, engineVersion: ENGINE_VERSION };
    await job.step({ done, total }, (tx) => writeSizings(tx, source, written));
    calculating = next;
  }
  const summary = await job.read((tx) => findSummary(tx, programmeId));
  return { ...summary };
};

interface Calculating {
  readonly sized: Promise<SizedSite[]>;
  readonly lastSiteId: string;
}

async function beginStep(
  job: RunningJob,
  plan: SizingPlan,
  programmeId: string,
  afterSiteId: string | null,
): Promise<Calculating | null> {
  const sites = await job.read((tx) =>
    readSites(tx, programmeId, job.id, afterSiteId, SITES_PER_STEP),
  );
  const last = sites.at(-1);
  if (!last) return null;
  const sized = runInWorker('size-sites', batchOf(plan, sites), {
    timeoutMs: STEP_LIMIT_MS,
    signal: job.signal,
  });
  // Whoever awaits it sees the failure; nobody does when the step before it fails first.
  sized.catch(() => undefined);
  return { sized, lastSiteId: last.siteId };
}

function batchOf({ rules, designs, rainByStation }: SizingPlan, sites: readonly SiteToSize[]) {
  const stations = [...new Set(sites.map(({ stationId }) => stationId ?? ''))];
  return {
    rules,
    designs,
    rain: stations.flatMap((station) => rainByStation.get(station) ?? []),
    sites: sites.map(({ stationId, ...site }) => ({
      ...site,
      seriesId: rainByStation.get(stationId ?? '')?.seriesId ?? null,
    })),
  };
}
