import {
  BAMBOO_BAND_MORTAR_STAGES,
  type BuildEffort,
  oneTankAfterAnother,
  planBuilds,
} from '../../shared/index.ts';
import type { BuildSeason } from '../../shared/scheduling/build-season.ts';
import { printBenchLine } from './bench-line.ts';

const SIZES = [
  { villages: 10, crews: 5 },
  { villages: 42, crews: 21 },
  { villages: 167, crews: 84 },
] as const;
const BUILDS_A_VILLAGE = 12;
const CREW_PEOPLE = [9, 9, 10, 8, 9] as const;
const SEARCH_MS = 60_000;
const DELAY_DAYS = 7;

/**
 * Seasons of 120, about 500 and about 2,000 builds, invented: seconds to the first plan, gap to the
 * bound after a minute, days saved against one tank after another, and what one week of delay in a
 * village changes.
 */
export function benchSeasonBuilds(): void {
  for (const { villages, crews } of SIZES) measure(inventedSeason(villages, crews));
}

function measure(season: BuildSeason): void {
  const name = `builds-${season.builds.length}`;
  const start = performance.now();
  let firstMs: number | null = null;
  let firstDay = 0;
  const timed = (more: Partial<BuildEffort> = {}): BuildEffort => {
    const from = performance.now();
    return { seed: 1, isOver: () => performance.now() - from > SEARCH_MS, ...more };
  };
  const plan = planBuilds(
    season,
    timed({
      onBetter: ({ finishedDay }) => {
        if (firstMs !== null) return;
        firstMs = performance.now() - start;
        firstDay = finishedDay;
      },
    }),
  );
  const day = plan.figures.finishedDay;
  const bound = plan.bounds.lowerBoundDay;
  const stages = plan.stages.length;
  const firstSeconds = (firstMs ?? 0) / 1_000;
  printBenchLine({
    name: `${name}/first-plan`,
    value: firstSeconds,
    unit: 's',
    baseline: SEARCH_MS / 1_000,
    note: `${stages} stages, first plan of ${firstDay} days, the bound counted too`,
  });
  printBenchLine({
    name: `${name}/gap`,
    value: (100 * (day - bound)) / bound,
    unit: '%',
    baseline: (100 * (firstDay - bound)) / bound,
    note: `${day} days after ${SEARCH_MS / 1_000} s, none below ${bound}; baseline: first plan`,
  });
  const one = oneTankAfterAnother(season).figures.finishedDay;
  printBenchLine({
    name: `${name}/days`,
    value: day,
    unit: 'day',
    baseline: one,
    note: `${one - day} days saved against one tank after another with the same crews`,
  });
  const [late] = season.villages;
  const earlier = new Map<
    string,
    { stageCode: string; crewId: string | null; startDay: number }[]
  >();
  for (const { buildId, stageCode, crewId, startDay } of plan.stages) {
    const own = earlier.get(buildId) ?? [];
    own.push({ stageCode, crewId, startDay: startDay ?? 0 });
    earlier.set(buildId, own);
  }
  const delayed: BuildSeason = {
    ...season,
    builds: season.builds.map((build) => {
      const was = earlier.get(build.id) ?? [];
      const first = was.reduce((least, { startDay }) => Math.min(least, startDay), 1e9);
      const releaseDay = build.villageId === late?.id ? first + DELAY_DAYS : build.releaseDay;
      return { ...build, releaseDay, earlier: was };
    }),
  };
  const again = planBuilds(delayed, timed({ schedules: 1_000, keepsEarlier: true }));
  const crews = new Set<string | null>();
  for (const { buildId, stageCode, crewId, startDay } of again.stages) {
    const was = earlier.get(buildId)?.find((one) => one.stageCode === stageCode);
    if (was?.startDay !== startDay || was?.crewId !== crewId) crews.add(crewId);
  }
  const moved = again.figures.changedStageCount;
  printBenchLine({
    name: `${name}/moved-by-a-week`,
    value: moved,
    unit: 'stage',
    baseline: stages,
    note: `stages of ${crews.size} of ${season.crews.length} crews moved when one village is ${DELAY_DAYS} days late, ${again.figures.finishedDay} days`,
  });
}

/** Villages a day apart, Sundays free; one crew does a whole tank, several of them side by side. */
function inventedSeason(villages: number, crews: number): BuildSeason {
  const isWorkingDay = Array.from({ length: 364 }, (_, day) => day % 7 !== 6);
  const stageOf = new Map(BAMBOO_BAND_MORTAR_STAGES.map((stage) => [stage.code, stage]));
  return {
    villages: Array.from({ length: villages }, (_, at) => ({ id: `village ${at}`, isWorkingDay })),
    crews: Array.from({ length: crews }, (_, at) => ({
      id: `crew ${at}`,
      people: CREW_PEOPLE[at % CREW_PEOPLE.length] ?? 9,
      trades: [],
      homeVillageId: null,
      fromDay: 0,
      untilDay: null,
      absences: [],
      learning: null,
    })),
    equipment: [],
    templates: [
      {
        id: 'bamboo-band-mortar',
        stages: BAMBOO_BAND_MORTAR_STAGES.map((stage) => ({
          code: stage.code,
          workDays: Math.ceil(stage.workDays),
          people: stage.crewSize,
          trade: null,
          equipment: [],
          isBlockedByRain: false,
          after: stage.after.map((stageCode) => {
            const before = stageOf.get(stageCode);
            const releaseDays = before?.holdPoint === 'hold' ? 1 : 0;
            const minimumWaitDays = (before?.minimumWaitDays ?? 0) + releaseDays;
            return { stageCode, minimumWaitDays, maximumWaitDays: null };
          }),
        })),
      },
    ],
    builds: Array.from({ length: villages * BUILDS_A_VILLAGE }, (_, at) => ({
      id: `build ${at}`,
      villageId: `village ${Math.floor(at / BUILDS_A_VILLAGE)}`,
      templateId: 'bamboo-band-mortar',
      releaseDay: 0,
      dueDay: null,
      facts: [],
      pins: [],
      earlier: [],
    })),
    moveDays: Array.from({ length: villages }, (_, from) =>
      Array.from({ length: villages }, (_, to) => (from === to ? 0 : 1)),
    ),
    rains: [],
  };
}
