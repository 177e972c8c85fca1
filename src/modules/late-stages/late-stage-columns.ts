import type { LateStage } from '../../../shared/contract/late-stage.ts';
import type { Column } from '../../http/table-export.ts';

/** Columns of late stages in a file. */
export const LATE_STAGE_COLUMNS: readonly Column<LateStage>[] = [
  { header: 'late_days', value: ({ lateDays }) => lateDays },
  { header: 'lateness', value: ({ lateness }) => lateness },
  { header: 'build_code', value: ({ buildCode }) => buildCode },
  { header: 'village', value: ({ villageName }) => villageName },
  { header: 'stage_code', value: ({ stageCode }) => stageCode },
  { header: 'stage', value: ({ stageTitle }) => stageTitle },
  { header: 'crew_code', value: ({ crewCode }) => crewCode ?? '' },
  { header: 'planned_start_on', value: ({ plannedStartOn }) => plannedStartOn },
  { header: 'planned_finish_on', value: ({ plannedFinishOn }) => plannedFinishOn },
  { header: 'started_on', value: ({ startedOn }) => startedOn ?? '' },
  { header: 'root_reason', value: ({ reasons }) => reasons.at(-1)?.kind ?? '' },
  { header: 'reasons', value: ({ reasons }) => reasons.map(({ detail }) => detail).join('; ') },
];
