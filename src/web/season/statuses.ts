import type { BuildStatus } from '../../../shared/contract/build.ts';

/** Statuses of a build in the order of its life. */
export const BUILD_STATUSES = [
  'planned',
  'started',
  'on-hold',
  'complete',
  'handed-over',
  'cancelled',
] as const satisfies readonly BuildStatus[];
