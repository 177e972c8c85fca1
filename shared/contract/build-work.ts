import { z } from 'zod';
import { civilDate, id } from './values.ts';

const materialUsed = z.object({
  materialId: id,
  materialCode: z.string(),
  materialName: z.string(),
  unitCode: z.string(),
  usedQuantity: z.string().meta({ description: 'Sum of the work records' }),
  billNetQuantity: z.string().nullable().meta({ description: 'Null where the bill has none' }),
  billWithWasteQuantity: z.string().nullable(),
});

const workFigures = {
  recordCount: z.int(),
  peopleDays: z.int().meta({
    description: 'Of each crew and day the largest head count, added up',
  }),
  personHours: z.string(),
};

/** What the work of a build took, stage by stage, against its stage template and its bill. */
export const buildWork = z
  .object({
    buildId: id,
    ...workFigures,
    stages: z.array(
      z.object({
        stageCode: z.string(),
        title: z.string(),
        ...workFigures,
        plannedPeopleDays: z.number().meta({ description: 'Work days times crew size' }),
        firstOn: civilDate.nullable(),
        lastOn: civilDate.nullable(),
        materials: z.array(materialUsed),
      }),
    ),
  })
  .meta({ id: 'BuildWork' });

export type BuildWork = z.infer<typeof buildWork>;
