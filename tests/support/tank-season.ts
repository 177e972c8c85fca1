import type { ProjectInput } from '../../shared/scheduling/project-types.ts';

/** Stages of an illustrative tank: working days, who does it, days to wait before the next. */
const STAGES = [
  ['slab', 1, 'mason', 3],
  ['cage', 2, 'bamboo', 0],
  ['first-coat', 1, 'mason', 1],
  ['second-coat', 1, 'mason', 7],
  ['final-coat', 1, 'mason', 0],
] as const;

/** So many tanks with so many crews, every day worked. */
export function tankSeason(tanks: number, masonCrews = 1, bambooCrews = 1): ProjectInput {
  return {
    resources: [
      { id: 'mason', capacity: masonCrews },
      { id: 'bamboo', capacity: bambooCrews },
    ],
    activities: Array.from({ length: tanks }, (_, tank) =>
      STAGES.map(([stage, durationDays, resourceId], at) => {
        const [before, , , minimumLagDays] = STAGES[at - 1] ?? ['', 0, '', 0];
        return {
          id: `${tank + 1} ${stage}`,
          durationDays,
          requires: [{ resourceId, count: 1 }],
          after: at === 0 ? [] : [{ activityId: `${tank + 1} ${before}`, minimumLagDays }],
        };
      }),
    ).flat(),
  };
}
