import { readFileSync } from 'node:fs';
import { job } from '../../shared/contract/job.ts';
import { site } from '../../shared/contract/site.ts';
import { siteImportWithPreview } from '../../shared/contract/site-import.ts';
import { siteSizing, siteSizingSummary } from '../../shared/contract/site-sizing.ts';
import type { ChainSeason } from './chain-season.ts';
import { runQueuedJobs } from './jobs.ts';
import type { TestService } from './service.ts';

/** 500 invented sites in ten villages, three of its rows wrong, each in another way. */
const SITE_FILE = readFileSync(new URL('./sites-500.csv', import.meta.url), 'utf8');

/** What stands wrong in the file, by line, and what should stand there. */
export const MISTAKES = [
  { line: 38, column: 'roof_area_m2', wrong: '4o.5', right: '40.5' },
  { line: 217, column: 'village', wrong: 'MALUVR', right: 'MALUVI' },
  { line: 463, column: 'code', wrong: 'ORLIM-11', right: 'WEXOLA-12' },
] as const;

export const siteLines = SITE_FILE.trimEnd().split('\n');

function correctedFile(): string {
  const lines = [...siteLines];
  for (const { line, wrong, right } of MISTAKES) {
    lines[line - 1] = lines[line - 1]?.replace(wrong, right) ?? '';
  }
  return lines.join('\n');
}

/** The file as it is: checked and refused; put right: checked and applied. */
export async function importSites(service: TestService, { coordinator, programmeId }: ChainSeason) {
  const imports = `/programmes/${programmeId}/site-imports?fileName=sites-500.csv`;
  const apply = (csv: string, planHash: string) =>
    coordinator.upload(`${imports}&mode=apply&planHash=${encodeURIComponent(planHash)}`, csv);
  const count = () =>
    service.as(coordinator.person, async (tx) => {
      const [row] = await tx.sql<{ sites: number; contacts: number }>(
        `select (select count(*) from site where organisation_id = $1) as sites,
           (select count(*) from site_contact where organisation_id = $1) as contacts`,
        [coordinator.person.organisationId],
      );
      return row;
    });

  const countBefore = await count();
  const dryRun = siteImportWithPreview.parse((await coordinator.upload(imports, SITE_FILE)).body);
  const refusal = await apply(SITE_FILE, dryRun.planHash);
  const countAfterRefusal = await count();
  const corrected = correctedFile();
  const checked = siteImportWithPreview.parse((await coordinator.upload(imports, corrected)).body);
  const countAfterCheck = await count();
  const wrongFile = await apply(`${corrected}\n`, checked.planHash);
  const applied = siteImportWithPreview.parse((await apply(corrected, checked.planHash)).body);
  const sites = await coordinator.list(site, `/sites?programmeId=${programmeId}`);
  return {
    dryRun,
    refusal,
    checked,
    wrongFile,
    applied,
    sites,
    counts: {
      before: countBefore,
      afterRefusal: countAfterRefusal,
      afterCheck: countAfterCheck,
      afterApplying: await count(),
    },
  };
}

/** Every site sized by one job. */
export async function sizeSites(service: TestService, { coordinator, programmeId }: ChainSeason) {
  const queued = await coordinator.post(job, `/programmes/${programmeId}/sizings`, {}, 202);
  const attempts = await runQueuedJobs(service);
  const finished = await coordinator.get(job, `/jobs/${queued.id}`);
  const query = `programmeId=${programmeId}`;
  return {
    attempts,
    finished,
    sizings: await coordinator.list(siteSizing, `/site-sizings?${query}`),
    summary: await coordinator.get(siteSizingSummary, `/site-sizings/summary?${query}`),
  };
}

export type ChainSites = Awaited<ReturnType<typeof importSites>>;
export type ChainSizings = Awaited<ReturnType<typeof sizeSites>>;
