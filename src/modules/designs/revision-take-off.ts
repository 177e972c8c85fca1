import type { TakeOffLine } from '../../../shared/contract/design-revision.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import { takeoffTank } from '../../../shared/takeoff/bill-of-quantities.ts';
import type { TakeoffRecipe } from '../../../shared/takeoff/recipe.ts';
import type { TakeoffGeometry } from '../../../shared/takeoff/takeoff-geometry.ts';

/** Take-off of a design by the recipe of its kind, with what of it the community gives. */
export function takeOffOf(
  input: TankDesignInput,
  { inKindMaterialCodes, ...recipe }: { inKindMaterialCodes: readonly string[] },
): TakeOffLine[] {
  const given = new Set(inKindMaterialCodes);
  return takeoffTank(input as TakeoffGeometry, recipe as TakeoffRecipe).map((line) => ({
    ...line,
    isInKind: given.has(line.materialCode),
  }));
}
