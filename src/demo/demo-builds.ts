import { setTimeout as pause } from 'node:timers/promises';
import type { Build } from '../../shared/contract/build.ts';
import { addDays } from '../../shared/units/calendar.ts';
import { type Body, type DemoClient, fewAtATime } from './demo-client.ts';
import type { Clients } from './demo-people.ts';
import type { makeProgramme } from './demo-records.ts';
import type { PlannedBuild } from './field-season.ts';
import { CREWS, VILLAGES } from './scenario.ts';

export type DemoSeason = Awaited<ReturnType<typeof makeProgramme>>;
export type DemoBuild = PlannedBuild & Build;

/** Days between two starts, so that the season is half-way today. */
const DAYS_BETWEEN_STARTS = 2;
const POLL_MS = 50;

/** Which grants pay for the builds of a village, by its place in the list; shares add up to 1. */
const SHARES_BY_TURN: readonly Readonly<Record<string, string>>[] = [
  { 'G-LANTERN': '1' },
  { 'G-LANTERN': '0.5', 'G-HARBOUR': '0.5' },
  { 'G-HARBOUR': '0.65', 'G-QUIET': '0.35' },
  { 'G-LANTERN': '0.33333333', 'G-HARBOUR': '0.33333333', 'G-QUIET': '0.33333334' },
];

/** Brings the list of sites in, sizes all of them, and plans a build at each that got a design. */
export async function planDemoBuilds(
  { coordinator }: Clients,
  season: DemoSeason,
  siteList: string,
): Promise<DemoBuild[]> {
  const { programme, startsOn } = season;
  const imports = `/programmes/${programme.id}/site-imports?fileName=sites.csv`;
  const checked = await coordinator.upload<Body & { planHash: string }>(
    imports,
    siteList,
    'text/csv',
  );
  const apply = `${imports}&mode=apply&planHash=${encodeURIComponent(checked.planHash)}`;
  await coordinator.upload(apply, siteList, 'text/csv');
  await finishJob(coordinator, await coordinator.post(`/programmes/${programme.id}/sizings`, {}));
  await makeBuilds(coordinator, season);

  const made = await listAll<Build>(coordinator, `/builds?programmeId=${programme.id}`);
  const depthByRevision = await waterDepths(coordinator, made);
  const inTurn = interleaved(made);
  const builds: DemoBuild[] = inTurn.map((build, index) => ({
    ...build,
    plannedStartOn: addDays(startsOn, Math.floor(index * DAYS_BETWEEN_STARTS)),
    waterDepthM: depthByRevision.get(build.designRevisionId) ?? 0,
    crewId: season.crewIds.get(CREWS[index % CREWS.length]?.code ?? '') ?? null,
  }));
  await fewAtATime(builds, 6, async (build, index) => {
    const crew = CREWS[index % CREWS.length];
    await coordinator.edit(`/builds/${build.id}`, build.version, {
      plannedStartOn: build.plannedStartOn,
      crewId: season.crewIds.get(crew?.code ?? ''),
    });
  });
  return builds;
}

async function makeBuilds(coordinator: DemoClient, { programme, startsOn, grantIds }: DemoSeason) {
  const sites = await listAll<Body & { villageId: string }>(
    coordinator,
    `/sites?programmeId=${programme.id}`,
  );
  const sizings = await listAll<{ siteId: string; designRevisionId: string | null }>(
    coordinator,
    `/site-sizings?programmeId=${programme.id}`,
  );
  const sized = new Set(sizings.filter((s) => s.designRevisionId !== null).map((s) => s.siteId));
  const villages = await listAll<Body & { code: string }>(coordinator, '/villages');
  for (const [turn, { code }] of VILLAGES.entries()) {
    const villageId = villages.find((village) => village.code === code)?.id;
    const siteIds = sites
      .filter((site) => site.villageId === villageId && sized.has(site.id))
      .map(({ id }) => id);
    if (siteIds.length === 0) continue;
    const shares = SHARES_BY_TURN[turn % SHARES_BY_TURN.length] ?? {};
    await coordinator.post(`/programmes/${programme.id}/builds`, {
      siteIds,
      codePrefix: 'B-',
      pricedOn: startsOn,
      grantShares: Object.entries(shares).map(([grant, shareRatio]) => ({
        grantId: grantIds.get(grant),
        shareRatio,
      })),
    });
  }
}

/** Water depth of each design revision, which the checks of the stages depend on. */
async function waterDepths(client: DemoClient, builds: readonly Build[]) {
  const depths = new Map<string, number>();
  for (const revisionId of new Set(builds.map(({ designRevisionId }) => designRevisionId))) {
    const revision = await client.get<{ input: { waterDepthM: number } }>(
      `/design-revisions/${revisionId}`,
    );
    depths.set(revisionId, revision.input.waterDepthM);
  }
  return depths;
}

/** Village after village, one build each, so that crews work in all of them. */
function interleaved(builds: readonly Build[]): Build[] {
  const rank = new Map<string, number>();
  const ranked = builds.map((build) => {
    const next = rank.get(build.villageId) ?? 0;
    rank.set(build.villageId, next + 1);
    return { build, next };
  });
  return ranked.sort((a, b) => a.next - b.next).map(({ build }) => build);
}

/** All items of a list, page after page. */
export async function listAll<Item>(client: DemoClient, path: string): Promise<Item[]> {
  const items: Item[] = [];
  let cursor: string | null = null;
  do {
    const next: string = cursor === null ? '' : `&cursor=${encodeURIComponent(cursor)}`;
    const join = path.includes('?') ? '&' : '?';
    const page: { items: Item[]; nextCursor: string | null } = await client.get(
      `${path}${join}limit=200${next}`,
    );
    items.push(...page.items);
    cursor = page.nextCursor;
  } while (cursor !== null);
  return items;
}

async function finishJob(client: DemoClient, { id }: Body): Promise<void> {
  while (true) {
    const job = await client.get<{ state: string; error: unknown }>(`/jobs/${id}`);
    if (job.state === 'succeeded') return;
    if (job.state === 'failed' || job.state === 'cancelled') {
      throw new Error(`Sizing ${job.state}: ${JSON.stringify(job.error)}`);
    }
    await pause(POLL_MS);
  }
}
