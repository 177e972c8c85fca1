import type { SeasonPlanStage } from '../../../shared/contract/season-plan.ts';
import type { Column } from '../../http/table-export.ts';

/** Columns of a plan in a file. */
export const STAGE_COLUMNS: readonly Column<SeasonPlanStage>[] = [
  { header: 'build_code', value: ({ buildCode }) => buildCode },
  { header: 'village', value: ({ villageName }) => villageName },
  { header: 'stage_code', value: ({ stageCode }) => stageCode },
  { header: 'crew_code', value: ({ crewCode }) => crewCode ?? '' },
  { header: 'starts_on', value: ({ startsOn }) => startsOn },
  { header: 'finishes_on', value: ({ finishesOn }) => finishesOn },
  { header: 'standing', value: ({ standing }) => standing },
  { header: 'pinned', value: ({ isPinned }) => isPinned },
  { header: 'waits_for', value: ({ waitsFor }) => String(waitsFor.kind) },
];
