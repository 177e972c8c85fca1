import { EngineError, requireNotNegative, requireWithin } from '../errors.ts';
import { coatMortarM3PerM2 } from './coats.ts';
import { CONCRETE_MIXES, type ConcreteMixName, concreteMaterials } from './concrete.ts';
import { labourDays } from './labour.ts';
import { type TankMeasures, tankMeasures, wallMortarThicknessM } from './measures.ts';
import { MORTAR_MIXES, type MortarMixName, mixingWaterL, mortarMaterials } from './mortar.ts';
import {
  type Quantity,
  scaleQuantity,
  sumQuantities,
  toQuantity,
  withWasteQuantity,
} from './quantity.ts';
import type { LayerThickness, MixWork, TakeoffRecipe, UnitCode } from './recipe.ts';
import type { TakeoffGeometry } from './takeoff-geometry.ts';

/** One line of a bill: what lies in the work, and what is needed with waste. Packs come later. */
export interface BillQuantity {
  readonly lineCode: string;
  readonly stageCode: string;
  readonly part: string;
  readonly materialCode: string;
  readonly unitCode: UnitCode;
  readonly netQuantity: Quantity;
  readonly wasteRatio: Quantity;
  readonly withWasteQuantity: Quantity;
}

const isMortar = (mix: string): mix is MortarMixName => Object.hasOwn(MORTAR_MIXES, mix);
const isConcrete = (mix: string): mix is ConcreteMixName => Object.hasOwn(CONCRETE_MIXES, mix);

function billLine(
  line: Pick<BillQuantity, 'lineCode' | 'stageCode' | 'part' | 'materialCode' | 'unitCode'>,
  net: number,
  waste: number,
): BillQuantity {
  if (!(waste >= 0 && waste < Infinity)) {
    requireNotNegative({ [`${line.lineCode}.wasteRatio`]: waste });
  }
  const netQuantity = toQuantity(net);
  const wasteRatio = toQuantity(waste);
  return {
    lineCode: line.lineCode,
    stageCode: line.stageCode,
    part: line.part,
    materialCode: line.materialCode,
    unitCode: line.unitCode,
    netQuantity,
    wasteRatio,
    withWasteQuantity: withWasteQuantity(netQuantity, wasteRatio),
  };
}

function layerThicknessM(
  layer: LayerThickness,
  geometry: TakeoffGeometry,
  recipe: TakeoffRecipe,
): number {
  if ('fixedM' in layer) return layer.fixedM;
  if ('shareOfRoof' in layer) {
    requireWithin('shareOfRoof', layer.shareOfRoof, 0, 1);
    return layer.shareOfRoof * geometry.dome.thicknessM;
  }
  requireWithin('shareOfWallMortar', layer.shareOfWallMortar, 0, 1);
  return layer.shareOfWallMortar * wallMortarThicknessM(geometry, recipe.boardThicknessM);
}

function mixLines(
  work: MixWork,
  measures: TankMeasures,
  geometry: TakeoffGeometry,
  recipe: TakeoffRecipe,
): BillQuantity[] {
  const { allowanceRatio = 0, layer, volumeM3PerMeasure } = work;
  if (layer !== undefined && volumeM3PerMeasure !== undefined) {
    throw new EngineError(
      'inconsistent',
      `${work.lineCode}.layer`,
      'layer',
      'or a volume, not both',
    );
  }
  const perMeasure =
    layer === undefined
      ? (volumeM3PerMeasure ?? 1) * (1 + allowanceRatio)
      : coatMortarM3PerM2({
          thicknessM: layerThicknessM(layer, geometry, recipe),
          allowanceRatio,
        });
  const volumeM3 = measures[work.measure] * perMeasure;
  const { mix } = work;
  if (!isMortar(mix) && !isConcrete(mix)) {
    throw new EngineError('out-of-range', `${work.lineCode}.mix`, mix, 'is not a known mix');
  }
  const materials = isMortar(mix)
    ? mortarMaterials(mix, volumeM3)
    : concreteMaterials(mix, volumeM3);
  const waterL = mixingWaterL(materials.cementKg, recipe.waterCementRatio);
  const waste = recipe.mixWasteRatios;
  const parts = [
    ['cement', 'cement', 'KGM', materials.cementKg, waste.cement],
    ['sand', 'sand', 'MTQ', materials.sandM3, waste.sand],
    ['stone', 'coarse-aggregate', 'MTQ', materials.coarseAggregateM3, waste.coarseAggregate],
    ['water', 'water', 'LTR', waterL, waste.water],
  ] as const;
  return parts
    .filter(([suffix]) => suffix !== 'stone' || isConcrete(mix))
    .map(([suffix, materialCode, unitCode, net, wasteRatio]) =>
      billLine(
        { ...work, lineCode: `${work.lineCode}-${suffix}`, materialCode, unitCode },
        net,
        wasteRatio,
      ),
    );
}

/**
 * Bill of quantities of one tank: every material and every day of work its recipe asks for, net in
 * place and with waste, by stage and part.
 *
 * Quantities are rounded once, to six decimals; packs are not rounded here (see `packRounded`).
 *
 * @throws {EngineError} naming the field of the geometry or the line of the recipe that is wrong
 * @source takeoff-own
 */
export function takeoffTank(geometry: TakeoffGeometry, recipe: TakeoffRecipe): BillQuantity[] {
  const measures = tankMeasures(geometry, recipe);
  const lines = recipe.works.flatMap((work): BillQuantity[] => {
    const measure = measures[work.measure];
    if (measure === undefined) {
      throw new EngineError(
        'out-of-range',
        `${work.lineCode}.measure`,
        work.measure,
        'is not a measure of a tank',
      );
    }
    if (work.kind === 'mix') return mixLines(work, measures, geometry, recipe);
    if (work.kind === 'labour') {
      const days = labourDays({
        quantity: measure,
        daysPerUnit: work.daysPerMeasure,
        efficiencyRatio: recipe.labourEfficiencyRatio,
      });
      return [
        billLine({ ...work, materialCode: `labour-${work.trade}`, unitCode: 'DAY' }, days, 0),
      ];
    }
    const { quantityPerMeasure } = work;
    if (!(quantityPerMeasure >= 0 && quantityPerMeasure < Infinity)) {
      requireNotNegative({ [`${work.lineCode}.quantityPerMeasure`]: quantityPerMeasure });
    }
    const { widthMm, thicknessMm } = geometry.bands;
    const materialCode = work.sizedByBand
      ? `${work.materialCode}-${widthMm}x${thicknessMm}`
      : work.materialCode;
    return [billLine({ ...work, materialCode }, measure * quantityPerMeasure, work.wasteRatio)];
  });
  const seen = new Set<string>();
  for (const { lineCode } of lines) {
    if (seen.has(lineCode)) {
      throw new EngineError('inconsistent', 'lineCode', lineCode, 'occurs twice in the recipe');
    }
    seen.add(lineCode);
  }
  return lines;
}

/**
 * The bill of `count` equal tanks: each exact quantity times the count.
 *
 * @throws {EngineError} `out-of-range` when the count is not a whole number from 0
 * @source takeoff-own
 */
export function scaleBill(bill: readonly BillQuantity[], count: number): BillQuantity[] {
  return bill.map((line) => ({
    ...line,
    netQuantity: scaleQuantity(line.netQuantity, count),
    withWasteQuantity: scaleQuantity(line.withWasteQuantity, count),
  }));
}

export interface MaterialTotal {
  readonly materialCode: string;
  readonly unitCode: UnitCode;
  readonly netQuantity: Quantity;
  readonly withWasteQuantity: Quantity;
  /** Share of the quantity with waste that each stage uses, in the order of first use. */
  readonly withWasteByStage: readonly {
    readonly stageCode: string;
    readonly quantity: Quantity;
  }[];
}

/**
 * Totals of each material over any number of bills, exact, with what each stage needs of it.
 *
 * @throws {EngineError} `inconsistent` when one material comes in two units
 * @source takeoff-own
 */
export function materialTotals(bill: readonly BillQuantity[]): MaterialTotal[] {
  const linesByMaterial = new Map<string, BillQuantity[]>();
  for (const line of bill) {
    const lines = linesByMaterial.get(line.materialCode) ?? [];
    const [first] = lines;
    if (first !== undefined && first.unitCode !== line.unitCode) {
      throw new EngineError(
        'inconsistent',
        `${line.lineCode}.unitCode`,
        line.unitCode,
        `must be ${first.unitCode} as elsewhere for ${line.materialCode}`,
      );
    }
    lines.push(line);
    linesByMaterial.set(line.materialCode, lines);
  }
  return [...linesByMaterial].map(([materialCode, lines]) => {
    const stages = [...new Set(lines.map((line) => line.stageCode))];
    return {
      materialCode,
      unitCode: lines[0]?.unitCode ?? 'C62',
      netQuantity: sumQuantities(lines.map((line) => line.netQuantity)),
      withWasteQuantity: sumQuantities(lines.map((line) => line.withWasteQuantity)),
      withWasteByStage: stages.map((stageCode) => ({
        stageCode,
        quantity: sumQuantities(
          lines.filter((line) => line.stageCode === stageCode).map((l) => l.withWasteQuantity),
        ),
      })),
    };
  });
}
