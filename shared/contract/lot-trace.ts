import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { lotRecall, lotStandingFields, stockLot } from './stock-lot.ts';
import { civilDate, decimal, id } from './values.ts';

/** How many builds one trace shows; `buildCount` says how many there are. */
export const MOST_TRACED_BUILDS = 2_000;

const receipt = z.object({
  entryId: id,
  storeId: id,
  storeCode: z.string(),
  receivedOn: civilDate,
  quantity: decimal,
  documentNumber: z.string(),
  orderId: id.nullable(),
  orderCode: z.string().nullable(),
  receiptId: id.nullable(),
  receiptNumber: z.string().nullable(),
  supplierId: id.nullable(),
  supplierName: z.string().nullable(),
});

const stay = z.object({ storeId: id, storeCode: z.string(), quantity: decimal });

const journey = z.object({
  dispatchId: id,
  noteNumber: z.string(),
  fromStoreCode: z.string(),
  toStoreCode: z.string(),
  dispatchedOn: civilDate,
  arrivedOn: civilDate.nullable().meta({ description: 'Null: still on the road' }),
  dispatchedQuantity: decimal,
  goodQuantity: decimal.nullable(),
  damagedQuantity: decimal.nullable(),
  missingQuantity: decimal.nullable(),
});

const visited = z.object({
  inspectionId: id,
  kind: z.string(),
  inspectedOn: civilDate,
  condition: z.string(),
});

const openFinding = z.object({
  findingId: id,
  inspectionId: id,
  part: z.string(),
  severity: z.string(),
  description: z.string(),
  actionId: id,
  dueOn: civilDate,
});

const usage = {
  issuedQuantity: decimal,
  returnedQuantity: decimal,
  usedQuantity: decimal.meta({ description: 'Issued less returned' }),
  stageCodes: z.array(z.string()).meta({
    description: 'Stages named when it was issued, else those whose bill lines use the material',
  }),
  stagesFrom: z.enum(['issue', 'bill']),
};

const buildFields = {
  buildId: id,
  buildCode: z.string(),
  siteCode: z.string(),
  villageId: id,
  villageCode: z.string(),
  status: z.string(),
  handedOverOn: civilDate.nullable(),
  crewId: id.nullable(),
  crewCode: z.string().nullable(),
  inspections: z.array(visited).meta({ description: 'The newest 20' }),
  openFindings: z.array(openFinding).meta({ description: 'Findings whose action is not closed' }),
};

/** Where a lot came from, where it lies, and every build that it went to. */
export const lotTrace = z
  .object({
    lot: stockLot,
    receivedQuantity: decimal,
    issuedQuantity: decimal,
    returnedQuantity: decimal,
    writtenOffQuantity: decimal,
    countedQuantity: decimal.meta({ description: 'Sum of the differences that counts found' }),
    inStoresQuantity: decimal,
    onTheRoadQuantity: decimal,
    lostOnTheRoadQuantity: decimal.meta({
      description: 'Damaged or missing on arrival, less excess',
    }),
    receipts: z.array(receipt),
    stores: z.array(stay),
    dispatches: z.array(journey),
    buildCount: z.int(),
    builds: z
      .array(
        z.object({
          ...buildFields,
          firstIssuedOn: civilDate,
          lastIssuedOn: civilDate,
          ...usage,
        }),
      )
      .meta({ description: `At most ${MOST_TRACED_BUILDS}, by code` }),
  })
  .meta({ id: 'LotTrace' });

/** A recall with what it asks for: stock to set aside, goods to stop on the road, builds to visit. */
export const recalledLot = z
  .object({ recall: lotRecall, trace: lotTrace })
  .meta({ id: 'RecalledLot' });

/** Every lot that went into a build, with where each came from. */
export const buildLots = z
  .object({
    ...buildFields,
    lots: z.array(
      z.object({
        lotId: id,
        code: z.string(),
        materialId: id,
        materialCode: z.string(),
        unitCode: materialUnitCode,
        manufacturedOn: civilDate.nullable(),
        certificateNumber: z.string().nullable(),
        ...lotStandingFields,
        storeCodes: z.array(z.string()).meta({ description: 'Stores that issued it' }),
        ...usage,
        receipts: z.array(receipt),
      }),
    ),
    withoutLot: z
      .array(
        z.object({
          materialId: id,
          materialCode: z.string(),
          unitCode: materialUnitCode,
          usedQuantity: decimal,
        }),
      )
      .meta({ description: 'What was issued without a lot: nothing traces it further back' }),
  })
  .meta({ id: 'BuildLots' });

export type LotTrace = z.infer<typeof lotTrace>;
export type RecalledLot = z.infer<typeof recalledLot>;
export type BuildLots = z.infer<typeof buildLots>;
