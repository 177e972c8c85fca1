import { EngineError, requirePositive } from '../errors.ts';
import type { SourceId } from '../sources.ts';

export type HoldPoint = 'hold' | 'witness' | 'none';

export type StageRole =
  | 'coordinator'
  | 'supervisor'
  | 'storekeeper'
  | 'engineer'
  | 'inspector'
  | 'admin';

/** What is measured or looked at; with unit `yes-no` the value is 1 for yes and 0 for no. */
export interface StageCheck {
  readonly code: string;
  readonly title: string;
  readonly unit: 'm' | 'mm' | 'day' | 'h' | 'L' | 'mg/L' | 'pH' | 'yes-no';
  readonly nominal?: number | undefined;
  readonly minimum?: number | undefined;
  readonly maximum?: number | undefined;
  /** True where builders do it so and no published source was found. */
  readonly isCommonPractice: boolean;
  readonly source?: SourceId | undefined;
}

export interface Stage {
  readonly code: string;
  readonly title: string;
  readonly workDays: number;
  readonly crewSize: number;
  /** Calendar days, Sundays and wet days too, between its finish and the start of what follows. */
  readonly minimumWaitDays: number;
  /** Calendar days after which what follows must have started, a coat that bonds; none when left out. */
  readonly maximumWaitDays?: number | undefined;
  /** Who does it: crews of this trade. Any crew when left out. */
  readonly trade?: string | undefined;
  /** Moulds, posts, mixers: sets of the programme that it holds from its first to its last day. */
  readonly equipment?: readonly StageEquipment[] | undefined;
  /** Not worked on a day of rain: open earthwork, outside coats, paint. */
  readonly isBlockedByRain?: boolean | undefined;
  /** Stages that must be finished first. */
  readonly after: readonly string[];
  /** Hold: what follows waits for the release. Witness: the party is told and may attend. */
  readonly holdPoint: HoldPoint;
  readonly releasedBy: StageRole | null;
  /** What must be in place before the stage starts. */
  readonly needs: readonly string[];
  readonly checks: readonly StageCheck[];
  readonly cautions: readonly string[];
}

export interface StageEquipment {
  readonly equipmentCode: string;
  readonly units: number;
}

export type StageTemplate = readonly Stage[];

/**
 * Refuses a template whose codes repeat, whose predecessors are not earlier stages of it, or whose
 * hold has nobody to release it.
 *
 * @throws {EngineError} `inconsistent` or `out-of-range` naming stage and field
 * @source tank-practice
 */
export function requireStageTemplate(template: StageTemplate): void {
  if (template.length === 0) {
    throw new EngineError('missing-data', 'template', 0, 'must have at least one stage');
  }
  const earlier = new Set<string>();
  for (const stage of template) {
    const at = (field: string): string => `${stage.code}.${field}`;
    if (earlier.has(stage.code)) {
      throw new EngineError('inconsistent', at('code'), stage.code, 'occurs twice');
    }
    for (const code of stage.after) {
      if (!earlier.has(code)) {
        throw new EngineError('inconsistent', at('after'), code, 'must be an earlier stage');
      }
    }
    requirePositive({ [at('workDays')]: stage.workDays, [at('crewSize')]: stage.crewSize });
    if (!Number.isSafeInteger(stage.minimumWaitDays) || stage.minimumWaitDays < 0) {
      throw new EngineError(
        'out-of-range',
        at('minimumWaitDays'),
        stage.minimumWaitDays,
        'must be a whole number from 0',
      );
    }
    const { maximumWaitDays, minimumWaitDays } = stage;
    if (maximumWaitDays !== undefined && !(maximumWaitDays >= minimumWaitDays)) {
      throw new EngineError(
        'inconsistent',
        at('maximumWaitDays'),
        maximumWaitDays,
        `must not be below minimumWaitDays = ${minimumWaitDays}`,
      );
    }
    if (stage.holdPoint !== 'none' && stage.releasedBy === null) {
      throw new EngineError('missing-data', at('releasedBy'), null, 'name who releases it');
    }
    const codes = stage.checks.map((check) => check.code);
    if (new Set(codes).size !== codes.length) {
      throw new EngineError('inconsistent', at('checks'), codes.join(', '), 'codes must differ');
    }
    earlier.add(stage.code);
  }
}

/**
 * The template with the limits that depend on the tank: the fall of the water in the seven days of
 * the watertightness test is at most depth/500, and never above the template's own limit.
 *
 * @source bs-8007 clause 9.2
 */
export function stagesForTank(
  template: StageTemplate,
  tank: { readonly waterDepthM: number },
): StageTemplate {
  requirePositive({ waterDepthM: tank.waterDepthM });
  const limitMm = (tank.waterDepthM * 1000) / 500;
  return template.map((stage) => ({
    ...stage,
    checks: stage.checks.map((check) =>
      check.code === 'level-fall-7-days'
        ? { ...check, maximum: Math.min(check.maximum ?? limitMm, limitMm) }
        : check,
    ),
  }));
}
