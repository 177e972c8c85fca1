import type {
  BuildSeason,
  SeasonBuild,
  SeasonCrew,
  SeasonStage,
  SeasonVillage,
} from '../../shared/scheduling/build-season.ts';

/** A village where work goes on every day unless said otherwise, by its days as text: x for work. */
export const villageOf = (id: string, days = 'xxxxxxx'): SeasonVillage => ({
  id,
  isWorkingDay: [...days].map((day) => day === 'x'),
});

export const crewOf = (id: string, people: number, more: Partial<SeasonCrew> = {}): SeasonCrew => ({
  id,
  people,
  trades: [],
  homeVillageId: null,
  fromDay: 0,
  untilDay: null,
  absences: [],
  learning: null,
  ...more,
});

/** A stage that follows others: `['slab', 3]` from 3 days after it, `['slab', 0, 2]` within 2. */
export const stageOf = (
  code: string,
  workDays: number,
  people: number,
  after: readonly (readonly [string, number, number?])[] = [],
  more: Partial<SeasonStage> = {},
): SeasonStage => ({
  code,
  workDays,
  people,
  trade: null,
  equipment: [],
  isBlockedByRain: false,
  after: after.map(([stageCode, minimumWaitDays, maximumWaitDays]) => ({
    stageCode,
    minimumWaitDays,
    maximumWaitDays: maximumWaitDays ?? null,
  })),
  ...more,
});

export const buildOf = (
  id: string,
  villageId: string,
  more: Partial<SeasonBuild> = {},
): SeasonBuild => ({
  id,
  villageId,
  templateId: 'tank',
  releaseDay: 0,
  dueDay: null,
  facts: [],
  pins: [],
  earlier: [],
  ...more,
});

/** A season with one template and one day on the road between any two villages. */
export const seasonOf = (
  stages: readonly SeasonStage[],
  crews: readonly SeasonCrew[],
  builds: readonly SeasonBuild[],
  more: Partial<BuildSeason> = {},
): BuildSeason => {
  const villages = more.villages ?? [villageOf('north'), villageOf('south')];
  return {
    villages,
    crews,
    equipment: [],
    templates: [{ id: 'tank', stages }],
    builds,
    moveDays: villages.map((from) => villages.map((to) => (from === to ? 0 : 1))),
    rains: [],
    ...more,
  };
};
