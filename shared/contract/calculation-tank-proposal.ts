import { z } from 'zod';
import { NEIGHBOUR_CHANGES } from '../design/neighbour-designs.ts';
import { PROPOSAL_LIMITS } from '../design/proposal-input.ts';
import { SOIL_CLASSES } from '../structure/soil-bearing.ts';
import { storageSummary } from './calculation-storage-reliability.ts';
import {
  calculationCaution,
  dailyRainMm,
  demandLPerDay,
  firstFlushMm,
  operatingRule,
  reliabilityMeasure,
  roofAreaM2,
  runoffCoefficient,
  targetReliabilityRatio,
  withDistinct,
} from './calculation-values.ts';
import { tankCheck, tankDesignInput } from './design-revision.ts';
import { takeoffRecipe } from './tank-kind.ts';
import { code, currency, money } from './values.ts';

const lengthM = z.number().gt(0).max(100);
const price = z
  .string()
  .regex(/^\d{1,9}(\.\d{1,6})?$/, 'a decimal number from 0 with at most 6 decimals');

const searchRange = z
  .strictObject({
    from: lengthM,
    to: lengthM,
    step: z.number().min(0.001).max(100),
  })
  .meta({ description: `from, from + step, … up to to; at most ${PROPOSAL_LIMITS.values} values` });

const storage = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('capacity'),
    leastCapacityL: z.number().min(1).max(22_000),
  }),
  z.strictObject({
    kind: z.literal('demand'),
    roofAreaM2,
    runoffCoefficient,
    firstFlushMm: firstFlushMm.optional(),
    dailyRainMm,
    demandLPerDay,
    operatingRule,
    targetReliabilityRatio,
    reliabilityMeasure: reliabilityMeasure.optional(),
  }),
]);

const bandSection = z.strictObject({
  widthMm: z.number().gt(0).max(1_000),
  thicknessMm: z.number().gt(0).max(1_000),
  yieldStrengthMPa: z.number().gt(0).max(10_000),
  jointEfficiencyRatio: z.number().min(0.01).max(1).meta({
    description: 'Net section of the band at its joint over its gross section',
  }),
  stockLengthM: z.number().min(0.1).max(10_000).meta({ description: 'Length or coil on sale' }),
  pricePerLength: price.meta({ description: 'At most the decimals of the currency' }),
});

export const tankProposalInput = z.strictObject({
  storage: storage.meta({
    description: 'The water the tank must hold: litres, or a demand to be met from a roof',
  }),
  unusableDepthM: z.number().min(0).max(1).optional().meta({
    description: 'Depth below the tap and above the overflow; 0 unless given',
  }),
  soilClass: z.enum(SOIL_CLASSES).optional(),
  windSpeedMPerS: z.number().min(0).max(1_000).optional(),
  seismic: tankDesignInput.shape.seismic,
  bandSections: z
    .array(bandSection)
    .min(1)
    .max(PROPOSAL_LIMITS.bandSections)
    .superRefine(
      withDistinct('widthMm', ({ widthMm, thicknessMm, stockLengthM }) =>
        [widthMm, thicknessMm, stockLengthM].join(' x '),
      ),
    ),
  prices: z
    .array(
      z.strictObject({
        materialCode: code,
        unitCode: z.string().trim().min(1).max(10),
        unitRate: price,
      }),
    )
    .min(1)
    .max(200)
    .superRefine(withDistinct('materialCode', ({ materialCode }) => materialCode))
    .meta({
      description:
        'Of the materials and trades of the take-off, such as cement KGM, sand MTQ, bamboo-culm H87, labour-mason DAY; what has no price does not count',
    }),
  currency,
  tankCount: z.int().min(1).max(PROPOSAL_LIMITS.tankCount).optional().meta({
    description: 'Equal tanks for which bands are bought at once; 1 unless given',
  }),
  maxUtilisationRatio: z.number().min(0.1).max(1).optional().meta({
    description: '0.9 unless given; above it an engineer must review the design',
  }),
  insideDiameterM: searchRange.optional(),
  waterDepthM: searchRange.optional(),
  wallThicknessM: searchRange.optional(),
  dome: tankDesignInput.shape.dome.partial().optional(),
  slab: z
    .strictObject({
      projectionM: z.number().min(0).max(5).optional(),
      thicknessM: lengthM.optional(),
    })
    .optional(),
  poissonRatio: tankDesignInput.shape.poissonRatio,
  mortarModulusPa: tankDesignInput.shape.mortarModulusPa,
  recipe: takeoffRecipe.optional().meta({
    description: 'Take-off of the kind of tank; bamboo, steel bands and mortar unless given',
  }),
});

const stop = z
  .discriminatedUnion('kind', [
    z.object({
      kind: z.literal('check'),
      checkId: z.string(),
      title: z.string(),
      utilisationRatio: z.number(),
      limitRatio: z.number(),
      source: z.string(),
    }),
    z.object({
      kind: z.literal('limit'),
      parameter: z.string(),
      value: z.union([z.number(), z.string()]).nullable(),
      limit: z.string(),
    }),
  ])
  .meta({ id: 'DesignStop' });

/** What comes out is described by what went in, and need not be judged again. */
const design = z.looseObject({
  insideDiameterM: z.number(),
  waterDepthM: z.number(),
  wallThicknessM: z.number(),
  bands: z.looseObject({
    widthMm: z.number(),
    thicknessMm: z.number(),
    spacing: z.string(),
    count: z.int().optional(),
    levelsBelowWaterM: z.array(z.number()).optional(),
  }),
  dome: z.looseObject({ riseM: z.number(), thicknessM: z.number(), gridSpacingM: z.number() }),
  slab: z.looseObject({ diameterM: z.number(), thicknessM: z.number() }),
});

const cost = z.object({
  total: money.meta({ description: 'For all tanks' }),
  perTank: money,
  bands: z.object({
    cutLengthM: z.number(),
    pieceCount: z.int(),
    lengthCount: z.int(),
    offcutM: z.number(),
    amount: money,
  }),
  materials: z.array(
    z.object({
      materialCode: z.string(),
      unitCode: z.string(),
      quantity: z.string(),
      unitRate: z.string(),
      amount: money,
    }),
  ),
  unpricedMaterialCodes: z.array(z.string()),
});

export const PROPOSAL_STATUSES = [
  'proposed',
  'no-design',
  'roof-too-small',
  'target-not-reachable',
] as const;

export const tankProposalResult = z
  .object({
    status: z.enum(PROPOSAL_STATUSES),
    neededCapacityL: z.number().nullable(),
    storage: storageSummary.nullable().meta({
      description: 'How the needed capacity, or the largest possible, serves the demand',
    }),
    design: design.nullable().meta({ description: 'May be sent on as the input of a revision' }),
    usableCapacityL: z.number().nullable(),
    check: tankCheck.nullable(),
    cost: cost.nullable(),
    neighbours: z.array(
      z.object({
        change: z.enum(NEIGHBOUR_CHANGES),
        design: design.nullable(),
        cost: money.nullable(),
        costDifference: money.nullable(),
        outcome: z.enum(['rejected', 'not-cheaper']),
        stoppedBy: z.array(stop),
      }),
    ),
    nearest: z
      .object({ design, stoppedBy: z.array(stop) })
      .nullable()
      .meta({ description: 'Without a proposal: the rejected design that came nearest' }),
    search: z
      .object({
        candidateCount: z.int(),
        checkedCount: z.int(),
        stoppedBy: z.array(z.object({ by: z.string(), count: z.int() })),
      })
      .nullable(),
    cautions: z.array(calculationCaution),
  })
  .meta({ id: 'TankProposalResult' });

export type TankProposalBody = z.infer<typeof tankProposalInput>;
export type TankProposalResult = z.infer<typeof tankProposalResult>;
