import { z } from 'zod';
import type { TankDesignInput } from '../design/tank-design-input.ts';
import { SOIL_CLASSES } from '../structure/soil-bearing.ts';
import { id, instant, longText, name } from './values.ts';

/** Absurd values end here; what the checks cannot judge, the engine refuses by name. */
const lengthM = z.number().gt(0).max(100);
const sizeMm = z.number().gt(0).max(1_000);

export const tankDesignInput = z
  .strictObject({
    insideDiameterM: lengthM,
    waterDepthM: lengthM.meta({
      description: 'Design water depth, taken to the top of the wall and not to the overflow',
    }),
    wallThicknessM: lengthM,
    poissonRatio: z.number().min(0).max(0.5).optional(),
    mortarModulusPa: z.number().gt(0).max(1e12).optional(),
    bands: z.strictObject({
      widthMm: sizeMm,
      thicknessMm: sizeMm,
      yieldStrengthMPa: z.number().gt(0).max(10_000),
      jointEfficiencyRatio: z.number().gt(0).max(1).meta({
        description: 'Net section of the band at its joint over its gross section',
      }),
      spacing: z.enum(['even', 'equal-load', 'given']),
      count: z.int().min(1).max(1_000).optional(),
      levelsBelowWaterM: z.array(lengthM).max(1_000).optional(),
    }),
    dome: z.strictObject({
      riseM: lengthM,
      thicknessM: lengthM,
      gridSpacingM: lengthM,
      stripThicknessMm: z.number().min(0).max(1_000).optional(),
      liveLoadPa: z.number().min(0).max(1e6).optional(),
    }),
    slab: z.strictObject({ diameterM: lengthM, thicknessM: lengthM }),
    soilClass: z.enum(SOIL_CLASSES).optional(),
    windSpeedMPerS: z.number().min(0).max(1_000).optional(),
    seismic: z
      .strictObject({
        impulsiveCoefficient: z.number().min(0).max(100),
        convectiveCoefficient: z.number().min(0).max(100),
      })
      .optional(),
  })
  .meta({ id: 'TankDesignParameters' }) satisfies z.ZodType<TankDesignInput>;

export const checkOutcome = z.enum(['pass', 'review', 'fail']);

/** What the checks found; the full figures of wall, bands, dome, ground, wind and earthquake beside it. */
export const tankCheck = z
  .looseObject({
    capacityL: z.number(),
    outcome: checkOutcome,
    maxUtilisationRatio: z.number(),
    bambooHoopCreditRatio: z.number(),
    checks: z.array(
      z.looseObject({
        id: z.string(),
        title: z.string(),
        demand: z.number(),
        capacity: z.number(),
        unit: z.string(),
        utilisationRatio: z.number(),
        outcome: checkOutcome,
        source: z.string(),
      }),
    ),
    bands: z.array(z.looseObject({ levelBelowWaterM: z.number(), loadN: z.number() })),
    bearingPressurePa: z.number(),
    bearingPressureWithLiveLoadPa: z.number(),
    presumptiveBearingPa: z.number().nullable(),
    reviewTriggers: z.array(
      z.looseObject({ id: z.string(), reason: z.string(), source: z.string() }),
    ),
    cautions: z.array(z.looseObject({ id: z.string(), text: z.string() })),
    standingSentence: z.string(),
  })
  .meta({ id: 'TankCheck' });

export const takeOffLine = z
  .object({
    lineCode: z.string(),
    stageCode: z.string(),
    part: z.string(),
    materialCode: z.string(),
    unitCode: z.string(),
    netQuantity: z.string(),
    wasteRatio: z.string(),
    withWasteQuantity: z.string(),
    isInKind: z.boolean(),
  })
  .meta({ id: 'TakeOffLine' });

export const DESIGN_DECISIONS = ['approved', 'refused', 'withdrawn'] as const;

export const designDecision = z
  .object({
    id,
    designRevisionId: id,
    decision: z.enum(DESIGN_DECISIONS),
    engineerId: id,
    engineerName: z.string(),
    registrationNumber: z.string(),
    remarks: z.string(),
    decidedAt: instant,
  })
  .meta({ id: 'DesignDecision' });

export const newDesignDecision = z.strictObject({
  id: id.optional(),
  decision: z.enum(DESIGN_DECISIONS),
  remarks: longText.default(''),
});

export const approvalState = z
  .enum(['undecided', ...DESIGN_DECISIONS])
  .meta({ description: 'What the last decision says' });

const summary = {
  id,
  designId: id,
  designCode: z.string(),
  designName: name,
  tankKindId: id,
  revisionNumber: z.int(),
  engineVersion: z.string(),
  outcome: checkOutcome.meta({ description: 'The worst outcome of all checks' }),
  capacityL: z.number(),
  approval: approvalState,
  createdById: id,
  createdAt: instant,
};

/** A revision in a list: without its input, figures and take-off. */
export const designRevisionSummary = z.object(summary).meta({ id: 'DesignRevisionSummary' });

/** One set of dimensions, what the checks found and what it takes to build. Never changed. */
export const designRevision = z
  .object({
    ...summary,
    input: tankDesignInput,
    result: tankCheck,
    takeOff: z.array(takeOffLine),
    decisions: z.array(designDecision),
  })
  .meta({ id: 'DesignRevision' });

export const newDesignRevision = z.strictObject({ id: id.optional(), input: tankDesignInput });

export const designRevisionFilters = {
  designId: id.optional(),
  approval: approvalState.optional(),
};

export const standardDesigns = z.strictObject({ designRevisionIds: z.array(id).max(50) });

export type ApprovalState = z.infer<typeof approvalState>;
export type TakeOffLine = z.infer<typeof takeOffLine>;
export type DesignDecision = z.infer<typeof designDecision>;
export type NewDesignDecision = z.infer<typeof newDesignDecision>;
export type DesignRevisionSummary = z.infer<typeof designRevisionSummary>;
export type DesignRevision = z.infer<typeof designRevision>;
export type NewDesignRevision = z.infer<typeof newDesignRevision>;
