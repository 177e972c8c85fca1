import { z } from 'zod';
import { civilDate, id, instant, longText, shortText } from './values.ts';

/**
 * Ten things that let dirt into rainwater, in our own words; the subjects are those of the WHO
 * sanitary inspection of rainwater collection and storage (Guidelines for drinking-water quality,
 * 2nd ed. vol. 3, 1997). An answer of true is a risk.
 */
export const SANITARY_RISKS = {
  'roof-dirty': 'Dirt, droppings or plants lie on the roof',
  'gutters-dirty': 'The gutters hold dirt',
  'inlet-screen-faulty': 'The screen or strainer at the inlet is missing or torn',
  'opening-uncovered': 'Another opening into the tank is not covered',
  'wall-or-cover-damaged': 'Wall or cover has cracks or holes',
  'tap-faulty': 'The tap leaks or does not close',
  'tap-slab-faulty': 'The slab under the tap is missing or broken',
  'drainage-poor': 'Water stands where water is drawn',
  'pollution-near': 'Something that pollutes is close to the tank',
  'bucket-exposed': 'The bucket in use is left where it gets dirty',
} as const;
type SanitaryRisk = keyof typeof SANITARY_RISKS;

const sanitaryAnswers = z
  .partialRecord(
    z.enum(Object.keys(SANITARY_RISKS) as [SanitaryRisk, ...SanitaryRisk[]]),
    z.boolean(),
  )
  .meta({ description: 'true: the risk is there; leave out what was not looked at' });

const severity = z.enum(['note', 'minor', 'major', 'danger']);
const inspectionKind = z.enum(['after-building', 'defects-visit', 'yearly', 'event']);
const condition = z.enum([
  'functional',
  'needs-repair',
  'dry-for-lack-of-rain',
  'not-functional',
  'not-found',
]);

const newAction = z.strictObject({
  id: id.optional(),
  description: shortText.min(1),
  dueOn: civilDate,
  assignedToId: id.optional(),
});

const newFinding = z
  .strictObject({
    id: id.optional(),
    part: z.string().trim().min(1).max(60),
    severity,
    description: longText.min(1),
    measuredValue: z.number().optional(),
    measuredUnit: z.string().max(20).optional(),
    actions: z.array(newAction).max(20).default([]),
  })
  .refine(({ severity: given, actions }) => given !== 'danger' || actions.length > 0, {
    path: ['actions'],
    message: 'a danger needs at least one action with a date',
  })
  .refine(
    ({ measuredValue, measuredUnit }) =>
      (measuredValue === undefined) === (measuredUnit === undefined),
    { path: ['measuredUnit'], message: 'goes with measuredValue' },
  );

export const newInspection = z.strictObject({
  id: id.optional(),
  kind: inspectionKind,
  inspectedOn: civilDate,
  condition,
  waterDepthM: z.number().min(0).max(20).nullable().default(null),
  sanitaryAnswers: sanitaryAnswers.default({}),
  note: longText.default(''),
  findings: z.array(newFinding).max(100).default([]),
});

export const correctiveAction = z
  .object({
    id,
    findingId: id,
    inspectionId: id,
    buildId: id,
    buildCode: z.string(),
    description: z.string(),
    dueOn: civilDate,
    assignedToId: id.nullable(),
    closedOn: civilDate.nullable(),
    closedById: id.nullable(),
    closingNote: z.string().nullable(),
  })
  .meta({ id: 'CorrectiveAction' });

export const actionClosure = z.strictObject({ closedOn: civilDate, closingNote: longText.min(1) });

export const inspection = z
  .object({
    id,
    buildId: id,
    kind: inspectionKind,
    inspectedOn: civilDate,
    inspectorId: id,
    condition,
    waterDepthM: z.number().nullable(),
    sanitaryAnswers,
    sanitaryRisks: z.object({
      riskCount: z.int(),
      unansweredCount: z.int().meta({ description: 'Not looked at; never counted as "no risk"' }),
    }),
    note: z.string(),
    recordedAt: instant,
    findings: z.array(
      z.object({
        id,
        part: z.string(),
        severity,
        description: z.string(),
        measuredValue: z.number().nullable(),
        measuredUnit: z.string().nullable(),
        actions: z.array(correctiveAction),
      }),
    ),
    cautions: z.array(z.string()),
  })
  .meta({ id: 'Inspection' });

export type NewInspection = z.output<typeof newInspection>;
export type Inspection = z.infer<typeof inspection>;
export type CorrectiveAction = z.infer<typeof correctiveAction>;
export type ActionClosure = z.infer<typeof actionClosure>;
