import type { MeasureName } from './measures.ts';
import type { LabourWork, MaterialWork, MixWork, UnitCode } from './recipe.ts';

/** Line code, stage code and part of the tank. */
export type RecipePlace = readonly [lineCode: string, stageCode: string, part: string];

/**
 * A line of material: a quantity per unit of a measure.
 *
 * @source takeoff-own
 */
export const material = (
  [lineCode, stageCode, part]: RecipePlace,
  materialCode: string,
  unitCode: UnitCode,
  quantityPerMeasure: number,
  measure: MeasureName,
  wasteRatio: number,
): MaterialWork => ({
  kind: 'material',
  lineCode,
  stageCode,
  part,
  materialCode,
  unitCode,
  quantityPerMeasure,
  measure,
  wasteRatio,
});

/**
 * A line of mortar or concrete.
 *
 * @source takeoff-own
 */
export const mix = (
  [lineCode, stageCode, part]: RecipePlace,
  measure: MeasureName,
  rest: Pick<MixWork, 'mix' | 'layer' | 'volumeM3PerMeasure' | 'allowanceRatio'>,
): MixWork => ({ kind: 'mix', lineCode, stageCode, part, measure, ...rest });

/**
 * A line of work in days per unit of a measure, before efficiency.
 *
 * @source takeoff-own
 */
export const labour = (
  [lineCode, stageCode, part]: RecipePlace,
  trade: LabourWork['trade'],
  daysPerMeasure: number,
  measure: MeasureName,
): LabourWork => ({ kind: 'labour', lineCode, stageCode, part, trade, daysPerMeasure, measure });
