import Big from 'big.js';
import type { ShortMaterial } from '../../../shared/contract/late-stage.ts';
import type { BuildStanding } from './late-season.ts';
import type { MaterialOfLate } from './repository.ts';

/** Materials that one reason names. */
const MOST_NAMED = 20;

/**
 * Paid materials that a stage lacks: its bill and that of the stages already begun, without waste,
 * less what was issued to the build and what lies in stores of its village, which other builds of the
 * village may want too.
 */
export function shortMaterials(
  materials: readonly MaterialOfLate[],
  { build, projection }: BuildStanding,
  stageCode: string,
): ShortMaterial[] {
  const begun = new Set(
    projection.stages.flatMap((stage) => (stage.status === 'not-started' ? [] : [stage.stageCode])),
  );
  const own = materials.filter(({ buildId }) => buildId === build.id);
  const wanted = new Set(
    own.filter((line) => line.stageCode === stageCode).map(({ materialId }) => materialId),
  );
  return [...wanted]
    .flatMap((materialId): ShortMaterial[] => {
      const lines = own.filter(
        (line) =>
          line.materialId === materialId &&
          (line.stageCode === stageCode || begun.has(line.stageCode)),
      );
      const [first] = lines;
      if (first === undefined) return [];
      const needed = lines.reduce((sum, line) => sum.plus(line.needed), new Big(0));
      if (needed.lte(new Big(first.issued).plus(first.inVillage))) return [];
      return [
        {
          materialId,
          materialCode: first.materialCode,
          unitCode: first.unitCode,
          neededQuantity: needed.toFixed(),
          issuedQuantity: new Big(first.issued).toFixed(),
          inVillageQuantity: new Big(first.inVillage).toFixed(),
        },
      ];
    })
    .slice(0, MOST_NAMED);
}
