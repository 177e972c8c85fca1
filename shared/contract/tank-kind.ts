import { z } from 'zod';
import { CONCRETE_MIXES } from '../takeoff/concrete.ts';
import type { Trade } from '../takeoff/labour.ts';
import type { MeasureName } from '../takeoff/measures.ts';
import { MORTAR_MIXES } from '../takeoff/mortar.ts';
import type { UnitCode } from '../takeoff/recipe.ts';
import { trade } from './crew.ts';
import { code, documentFields, id, name, ratio, shortText } from './values.ts';

const keysOf = <Key extends string>(record: Readonly<Record<Key, unknown>>) =>
  Object.keys(record) as [Key, ...Key[]];

/** Every measure of the engine: the compiler refuses a missing or an unknown one. */
const MEASURES = {
  one: true,
  waterVolumeM3: true,
  insideWallAreaM2: true,
  outsideWallAreaM2: true,
  floorAreaM2: true,
  wetAreaM2: true,
  domeAreaM2: true,
  weatherAreaM2: true,
  slabAreaM2: true,
  slabVolumeM3: true,
  insideCircumferenceM: true,
  outsideCircumferenceM: true,
  wallFootAreaM2: true,
  bandCount: true,
  bandLengthM: true,
  springingBandLengthM: true,
  boardAreaM2: true,
  boardCulms: true,
  hoopStripLengthM: true,
  hoopCulms: true,
  roofStripCount: true,
  roofStripLengthM: true,
  roofStripCulms: true,
  culms: true,
  bambooWoodM3: true,
  bambooSurfaceM2: true,
  hoopTies: true,
  roofTies: true,
  hoopTieWireKg: true,
  roofTieWireKg: true,
} satisfies Record<MeasureName, true>;

const TRADES = {
  foreman: true,
  mason: true,
  labourer: true,
  'water-carrier': true,
  'bamboo-worker': true,
  painter: true,
} satisfies Record<Trade, true>;

const UNITS = {
  KGM: true,
  MTQ: true,
  MTK: true,
  MTR: true,
  LTR: true,
  H87: true,
  SET: true,
  PR: true,
  DAY: true,
  C62: true,
} satisfies Record<UnitCode, true>;

/** Absurd values end here; what a method cannot take, the engine refuses. */
const lengthM = z.number().min(0).max(100);
const sizeMm = z.number().min(0).max(10_000);
const perMeasure = z.number().min(0).max(1e6);
const wasteRatio = z.number().min(0).max(5);
const stageCode = code;
const materialCode = code;

const workPlace = { lineCode: code, stageCode, part: name, measure: z.enum(keysOf(MEASURES)) };

const layer = z.union([
  z.strictObject({ fixedM: lengthM }),
  z.strictObject({ shareOfWallMortar: ratio }),
  z.strictObject({ shareOfRoof: ratio }),
]);

const work = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('mix'),
    ...workPlace,
    mix: z.enum([...keysOf(MORTAR_MIXES), ...keysOf(CONCRETE_MIXES)]),
    layer: layer.optional(),
    volumeM3PerMeasure: perMeasure.optional(),
    allowanceRatio: wasteRatio.optional(),
  }),
  z.strictObject({
    kind: z.literal('material'),
    ...workPlace,
    materialCode,
    sizedByBand: z.boolean().optional(),
    unitCode: z.enum(keysOf(UNITS)),
    quantityPerMeasure: perMeasure,
    wasteRatio,
  }),
  z.strictObject({
    kind: z.literal('labour'),
    ...workPlace,
    trade: z.enum(keysOf(TRADES)),
    daysPerMeasure: perMeasure,
  }),
]);

const bamboo = z.strictObject({
  culmDiameterMm: sizeMm,
  culmWallMm: sizeMm,
  usableLengthM: lengthM,
  kerfMm: sizeMm,
  stripWidthMm: sizeMm,
  stripThicknessMm: sizeMm,
  splittingLossMm: sizeMm,
  hoopsPerBandAndFace: z.number().min(0).max(100),
  hoopLapM: lengthM,
  boardTopTailM: lengthM,
  roofStripTailM: lengthM,
});

export const takeoffRecipe = z
  .strictObject({
    tankKindCode: code,
    boardThicknessM: lengthM,
    insideMortarShareRatio: ratio,
    bamboo: bamboo.nullable(),
    bands: z.strictObject({ lapM: lengthM, springingBandCount: z.int().min(0).max(10) }),
    ties: z.strictObject({
      hoopTieSpacingM: lengthM,
      tieLengthM: lengthM,
      wireDiameterMm: sizeMm,
    }),
    waterCementRatio: z.number().min(0).max(5),
    labourEfficiencyRatio: z.number().gt(0).max(5),
    mixWasteRatios: z.strictObject({
      cement: wasteRatio,
      sand: wasteRatio,
      coarseAggregate: wasteRatio,
      water: wasteRatio,
    }),
    works: z.array(work).min(1).max(400),
    inKindMaterialCodes: z
      .array(materialCode)
      .max(400)
      .default([])
      .meta({ description: 'Materials and labour that the community gives; valued, never paid' }),
  })
  .meta({ id: 'TakeoffRecipe' });

const stageCheck = z.strictObject({
  code,
  title: name,
  unit: z.enum(['m', 'mm', 'day', 'h', 'L', 'mg/L', 'pH', 'yes-no']),
  nominal: z.number().optional(),
  minimum: z.number().optional(),
  maximum: z.number().optional(),
  isCommonPractice: z.boolean(),
  source: z.string().max(60).optional(),
});

const stage = z.strictObject({
  code: stageCode,
  title: name,
  workDays: z.number().gt(0).max(365),
  crewSize: z.number().gt(0).max(200),
  minimumWaitDays: z.int().min(0).max(365),
  maximumWaitDays: z.int().min(0).max(365).optional().meta({
    description: 'Calendar days after which what follows must have started',
  }),
  trade: trade.optional().meta({ description: 'Crews that do it; any crew when left out' }),
  equipment: z
    .array(z.strictObject({ equipmentCode: code, units: z.int().min(1).max(1_000) }))
    .max(20)
    .optional(),
  isBlockedByRain: z.boolean().optional(),
  after: z.array(stageCode).max(100),
  holdPoint: z.enum(['hold', 'witness', 'none']),
  releasedBy: z
    .enum(['coordinator', 'supervisor', 'storekeeper', 'engineer', 'inspector', 'admin'])
    .nullable(),
  needs: z.array(shortText).max(50),
  checks: z.array(stageCheck).max(50),
  cautions: z.array(shortText).max(50),
});

export const stageTemplate = z.array(stage).min(1).max(100).meta({ id: 'StageTemplate' });

const fields = { code, name, recipe: takeoffRecipe, stages: stageTemplate };

/** A kind of tank is data: how it turns into materials and work, and in which stages it is built. */
export const tankKind = z.object({ ...documentFields, ...fields }).meta({ id: 'TankKind' });
export const newTankKind = z.strictObject({ id: id.optional(), ...fields });
export const tankKindPatch = z.strictObject(fields).partial();

export type TankKind = z.infer<typeof tankKind>;
export type NewTankKind = z.infer<typeof newTankKind>;
export type TankKindPatch = z.infer<typeof tankKindPatch>;
