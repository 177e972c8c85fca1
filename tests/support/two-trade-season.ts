import type { BuildSeason, SeasonBuild, SeasonCrew } from '../../shared/scheduling/build-season.ts';

export const seasonCrew = (
  id: string,
  trades: string[],
  more: Partial<SeasonCrew> = {},
): SeasonCrew => ({
  id,
  people: 1,
  trades,
  homeVillageId: null,
  fromDay: 0,
  untilDay: null,
  absences: [],
  learning: null,
  ...more,
});

export const seasonBuild = (id: string, more: Partial<SeasonBuild> = {}): SeasonBuild => ({
  id,
  villageId: 'one',
  templateId: 'tank',
  releaseDay: 0,
  dueDay: null,
  facts: [],
  pins: [],
  earlier: [],
  ...more,
});

const stage = (code: string, trade: string, workDays: number, after: [string, number] | null) => ({
  code,
  workDays,
  people: 1,
  trade,
  equipment: [],
  isBlockedByRain: false,
  after:
    after === null
      ? []
      : [{ stageCode: after[0], minimumWaitDays: after[1], maximumWaitDays: null }],
});

/**
 * Tanks of one mason and one bamboo crew without a calendar: slab 1 day, wait 3; cage and bands 2 days
 * bamboo; first coat 1, wait 1; second coat 1, wait 7; final coat and test 1.
 */
export function twoTradeSeason(tanks: number, masonCrews: number): BuildSeason {
  return {
    villages: [{ id: 'one', isWorkingDay: Array.from({ length: 7 }, () => true) }],
    crews: [
      ...Array.from({ length: masonCrews }, (_, at) => seasonCrew(`mason ${at}`, ['mason'])),
      seasonCrew('bamboo', ['bamboo']),
    ],
    equipment: [],
    templates: [
      {
        id: 'tank',
        stages: [
          stage('slab', 'mason', 1, null),
          stage('cage', 'bamboo', 2, ['slab', 3]),
          stage('first-coat', 'mason', 1, ['cage', 0]),
          stage('second-coat', 'mason', 1, ['first-coat', 1]),
          stage('final-coat', 'mason', 1, ['second-coat', 7]),
        ],
      },
    ],
    builds: Array.from({ length: tanks }, (_, at) => seasonBuild(`tank ${at}`)),
    moveDays: [[0]],
    rains: [],
  };
}
