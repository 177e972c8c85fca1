import type { Bill, BillQuery, BuildBill } from '../../../shared/contract/bill.ts';
import type {
  PriceSensitivity,
  PriceSensitivityQuery,
} from '../../../shared/contract/price-sensitivity.ts';
import { type Money, sumMoney } from '../../../shared/costing/money.ts';
import { sumQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { notFound, ruleBroken } from '../../domain/errors.ts';
import { sensitivityOfBill } from './price-sensitivity.ts';
import {
  type BillTotal,
  billTotals,
  countBuilds,
  currencyOf,
  findBuildBill,
  missingRecord,
  sharedLines,
} from './repository.ts';
import { linesOfGrant } from './split-lines.ts';

export interface Bills {
  /** The bill of one build, line by line. */
  ofBuild(tx: Tx, buildId: string): Promise<BuildBill>;
  /** Which price or waste allowance of the bill moves the cost per litre of the build most. */
  sensitivity(tx: Tx, buildId: string, query: PriceSensitivityQuery): Promise<PriceSensitivity>;
  /** Totals over the builds that the query names. */
  totals(tx: Tx, query: BillQuery): Promise<Bill>;
}

const NOUNS = {
  buildId: 'build',
  villageId: 'village',
  grantId: 'grant',
  programmeId: 'programme',
} as const;

export function createBills(): Bills {
  return {
    async ofBuild(tx, buildId) {
      const found = await findBuildBill(tx, buildId);
      if (!found) throw notFound('build', buildId);
      const { id, code, designRevisionId, pricedOn, currency, lines } = found;
      return {
        buildId: id,
        buildCode: code,
        designRevisionId,
        pricedOn,
        ...amountsOf(lines, currency),
        lines,
      };
    },
    async sensitivity(tx, buildId, query) {
      const found = await findBuildBill(tx, buildId);
      if (!found) throw notFound('build', buildId);
      return sensitivityOfBill(found, query);
    },
    async totals(tx, query) {
      const missing = await missingRecord(tx, query);
      if (missing) throw notFound(NOUNS[missing], query[missing] ?? '');
      const { grantId } = query;
      const found =
        grantId === undefined
          ? await billTotals(tx, query)
          : linesOfGrant(await sharedLines(tx, query), grantId);
      const currencies = new Set(found.map((line) => line.currency));
      if (currencies.size > 1) {
        throw ruleBroken(
          'bill-in-several-currencies',
          `These bills are in ${[...currencies].sort().join(' and ')}; name a programmeId to total one of them.`,
        );
      }
      const currency = [...currencies][0] ?? (await currencyOf(tx, query));
      if (currency === null) {
        throw ruleBroken(
          'village-without-builds',
          'The village has no builds, so its bill has no currency; name a programmeId too.',
        );
      }
      return {
        buildId: query.buildId ?? null,
        villageId: query.villageId ?? null,
        grantId: grantId ?? null,
        programmeId: query.programmeId ?? null,
        buildCount: await countBuilds(tx, query),
        ...billOf(found, currency),
      };
    },
  };
}

type PricedTotal = Omit<BillTotal, 'amount' | 'currency'> & { readonly amount: Money };

/** Every total of a bill from the same lines, so that all of them add up to the same amounts. */
function billOf(found: readonly BillTotal[], currency: string) {
  const priced = found.map(
    ({ amount, currency: of, ...line }): PricedTotal => ({
      ...line,
      amount: { amount, currency: of },
    }),
  );
  const lines = [...groups(priced, (line) => JSON.stringify(finestKeyOf(line))).values()].map(
    (group) => ({
      ...(group[0] as PricedTotal),
      ...quantitiesOf(group),
      amount: sumOf(group, currency),
    }),
  );
  return {
    currency,
    ...amountsOf(lines, currency),
    byPart: [...groups(lines, ({ part }) => part)].map(([part, group]) => ({
      part,
      ...amountsOf(group, currency),
    })),
    byStage: [...groups(lines, ({ stageCode }) => stageCode)].map(([stageCode, group]) => ({
      stageCode,
      ...amountsOf(group, currency),
    })),
    byMaterial: [
      ...groups(lines, ({ materialId, unitCode }) => `${materialId} ${unitCode}`).values(),
    ]
      .map((group) => {
        const { materialId, materialCode, materialName, category, unitCode } =
          group[0] as PricedTotal;
        return {
          ...{ materialId, materialCode, materialName, category, unitCode },
          ...quantitiesOf(group),
          ...amountsOf(group, currency),
        };
      })
      .sort((a, b) => (a.materialCode < b.materialCode ? -1 : 1)),
    lines,
  };
}

const finestKeyOf = ({ part, stageCode, materialId, unitCode, isInKind }: PricedTotal) => [
  part,
  stageCode,
  materialId,
  unitCode,
  isInKind,
];

function groups<Row>(rows: readonly Row[], keyOf: (row: Row) => string): Map<string, Row[]> {
  const found = new Map<string, Row[]>();
  for (const row of rows) {
    const key = keyOf(row);
    const group = found.get(key);
    if (group) group.push(row);
    else found.set(key, [row]);
  }
  return found;
}

const quantitiesOf = (
  rows: readonly { readonly netQuantity: string; readonly withWasteQuantity: string }[],
) => ({
  netQuantity: sumQuantities(rows.map((row) => row.netQuantity)),
  withWasteQuantity: sumQuantities(rows.map((row) => row.withWasteQuantity)),
});

const sumOf = (rows: readonly { readonly amount: Money }[], currency: string) =>
  sumMoney(
    rows.map((row) => row.amount),
    currency,
  );

/** Cash and in kind, apart. */
const amountsOf = (
  rows: readonly { readonly amount: Money; readonly isInKind: boolean }[],
  currency: string,
) => ({
  amount: sumOf(
    rows.filter((row) => !row.isInKind),
    currency,
  ),
  inKindAmount: sumOf(
    rows.filter((row) => row.isInKind),
    currency,
  ),
});
