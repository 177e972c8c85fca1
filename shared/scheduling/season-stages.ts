import { EngineError } from '../errors.ts';
import type { SeasonStage } from './build-season.ts';
import type { StageTemplate } from './stage-template.ts';

/**
 * The stages of a kind of tank as the planner of a season takes them: whole days and people, waits as
 * calendar days from finish to start. A hold point leaves at least `holdReleaseDays` for its release.
 *
 * @param equipmentIds ids of the programme's equipment by its code
 * @throws {EngineError} `missing-data` naming stage and code of equipment that the programme has not
 * @source tank-practice
 */
export function seasonStages(
  template: StageTemplate,
  holdReleaseDays: number,
  equipmentIds: ReadonlyMap<string, string>,
): SeasonStage[] {
  const byCode = new Map(template.map((stage) => [stage.code, stage]));
  return template.map((stage) => ({
    code: stage.code,
    workDays: Math.ceil(stage.workDays),
    people: Math.ceil(stage.crewSize),
    trade: stage.trade ?? null,
    isBlockedByRain: stage.isBlockedByRain ?? false,
    equipment: (stage.equipment ?? []).map(({ equipmentCode, units }) => {
      const equipmentId = equipmentIds.get(equipmentCode);
      if (equipmentId === undefined) {
        const field = `${stage.code}.equipment`;
        throw new EngineError('missing-data', field, equipmentCode, 'no equipment set has it');
      }
      return { equipmentId, units };
    }),
    after: stage.after.map((stageCode) => {
      const earlier = byCode.get(stageCode);
      const holdDays = earlier?.holdPoint === 'hold' ? holdReleaseDays : 0;
      const minimumWaitDays = Math.max(earlier?.minimumWaitDays ?? 0, holdDays);
      const most = earlier?.maximumWaitDays ?? null;
      return {
        stageCode,
        minimumWaitDays,
        maximumWaitDays: most === null ? null : Math.max(most, minimumWaitDays),
      };
    }),
  }));
}
