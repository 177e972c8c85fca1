import { parse } from 'csv-parse/sync';
import ExcelJS from 'exceljs';
import type { BuildBill } from '../../shared/contract/bill.ts';
import type { Build } from '../../shared/contract/build.ts';
import { type Order, order } from '../../shared/contract/order.ts';
import { orderPlan } from '../../shared/contract/order-plan.ts';
import { type StockEntry, stockBalance, stockEntry } from '../../shared/contract/stock.ts';
import { type ChainSeason, PRICED_ON } from './chain-season.ts';
import { micro } from './exact.ts';
import type { TestService } from './service.ts';

/** One plan for all builds with its orders, the same twice refused, and both files of its lines. */
export async function planSupply(service: TestService, { coordinator, programmeId }: ChainSeason) {
  const path = `/programmes/${programmeId}/order-plans`;
  const plan = await coordinator.post(orderPlan, path, { pricedOn: PRICED_ON });
  const second = await coordinator.send(path, { pricedOn: PRICED_ON });
  const orders: Order[] = [];
  for (const { id } of plan.orders) orders.push(await coordinator.get(order, `/orders/${id}`));
  const csv = await coordinator.ask(`/order-plans/${plan.id}/lines.csv`).expect(200);
  const xlsx = await service.http
    .get(`/v1/order-plans/${plan.id}/lines.xlsx`)
    .set(coordinator.person.auth)
    .buffer(true)
    .parse(asBytes as never)
    .expect(200);
  return { plan, second, orders, csv: csv.text, xlsx: xlsx.body as Buffer };
}

function asBytes(answer: NodeJS.ReadableStream, done: (error: null, bytes: Buffer) => void) {
  const chunks: Buffer[] = [];
  answer.on('data', (chunk: Buffer) => chunks.push(chunk));
  answer.on('end', () => done(null, Buffer.concat(chunks)));
}

export type FileRow = Readonly<Record<string, string | number>>;

/** The lines of the orders as rows of a file: text as text, quantities and money as numbers. */
export const linesOf = (orders: readonly Order[]): FileRow[] =>
  orders.flatMap(({ code, supplierCode, deliveryVillageCode, amount: { currency }, lines }) =>
    lines.map((line) => ({
      order: code,
      supplier_code: supplierCode,
      village_code: deliveryVillageCode,
      material_code: line.materialCode,
      unit_code: line.unitCode,
      need_quantity: Number(line.needQuantity),
      pack_code: line.packCode,
      pack_content: Number(line.packContent),
      pack_count: line.packCount,
      ordered_quantity: Number(line.orderedQuantity),
      rounding_quantity: Number(line.roundingQuantity),
      price_per_pack: Number(line.pricePerPack),
      amount: Number(line.amount.amount),
      currency,
    })),
  );

const NUMBERS = /^(need|ordered|rounding)_quantity$|^pack_(content|count)$|^price_|^amount$/;

/** The same columns of a CSV file, by its own header. */
export function rowsOfCsv(csv: string, like: FileRow): FileRow[] {
  const rows: Record<string, string>[] = parse(csv, { columns: true, bom: true });
  return rows.map((row) =>
    Object.fromEntries(
      Object.keys(like).map((key) => {
        const cell = row[key] ?? '';
        return [key, NUMBERS.test(key) ? Number(cell) : cell];
      }),
    ),
  );
}

/** The same columns of a workbook; a number that is not a number cell stays what it is. */
export async function rowsOfXlsx(bytes: Buffer, like: FileRow): Promise<FileRow[]> {
  const book = new ExcelJS.Workbook();
  await book.xlsx.load(bytes as unknown as ArrayBuffer);
  const sheet = book.worksheets[0];
  if (!sheet) throw new Error('The workbook has no sheet');
  const header = (sheet.getRow(1).values as unknown[]).map(String);
  const rows: FileRow[] = [];
  for (let number = 2; number <= sheet.rowCount; number++) {
    const values = sheet.getRow(number).values as (string | number)[];
    const cells = Object.keys(like).map((key) => [key, values[header.indexOf(key)] ?? '']);
    rows.push(Object.fromEntries(cells));
  }
  return rows;
}

/**
 * What builds need by village and material in millionths, and what the ordered packs would cost if
 * every tank rounded up its own, from the bills of the builds alone.
 */
export function packsOf(
  builds: readonly Build[],
  bills: readonly BuildBill[],
  orders: readonly Order[],
) {
  const villageOf = new Map(builds.map(({ id, villageId }) => [id, villageId]));
  const needs = new Map<string, bigint>();
  const needsOfBuilds = new Map<string, bigint[]>();
  for (const { buildId, lines } of bills) {
    const own = new Map<string, bigint>();
    for (const line of lines) {
      if (line.isInKind || line.category === 'labour') continue;
      const key = `${villageOf.get(buildId)} ${line.materialId}`;
      own.set(key, (own.get(key) ?? 0n) + micro(line.withWasteQuantity));
    }
    for (const [key, need] of own) {
      needs.set(key, (needs.get(key) ?? 0n) + need);
      needsOfBuilds.set(key, [...(needsOfBuilds.get(key) ?? []), need]);
    }
  }
  const perTank = orders.flatMap(({ deliveryVillageId, lines }) =>
    lines.map((line) => {
      const content = micro(line.packContent);
      const alone = needsOfBuilds.get(`${deliveryVillageId} ${line.materialId}`) ?? [];
      const packs = alone.reduce((sum, need) => sum + (need + content - 1n) / content, 0n);
      return packs * micro(line.pricePerPack);
    }),
  );
  return { needs, perTank: perTank.reduce((sum, amount) => sum + amount, 0n) };
}

/** One order received whole into the store, one in part; issues to a build, and a return. */
export async function moveStock(
  { coordinator, approver, storekeeper, store }: ChainSeason,
  orders: readonly Order[],
  build: Build,
) {
  const [whole, partial, draft] = orders;
  if (!whole || !partial || !draft) throw new Error('The plan needs three orders');
  const unapproved = await coordinator.send(`/orders/${whole.id}/placements`, {});
  const ownDecision = await coordinator.send(`/orders/${whole.id}/decisions`, {
    decision: 'approved',
  });
  for (const { id } of [whole, partial]) {
    await approver.post(order, `/orders/${id}/decisions`, { decision: 'approved' });
    await coordinator.post(order, `/orders/${id}/placements`, { placedOn: '2027-01-13' }, 200);
  }
  const send = (kind: string, line: Order['lines'][number], quantity: string, more: object) =>
    storekeeper.send('/stock-entries', {
      kind,
      quantity,
      storeId: store.id,
      materialId: line.materialId,
      observedOn: '2027-01-25',
      documentNumber: `DN-${whole.code}`,
      ...more,
    });
  const entries: StockEntry[] = [];
  const post = async (...entry: Parameters<typeof send>) => {
    entries.push(stockEntry.parse((await send(...entry).expect(201)).body));
  };
  const receive = (line: Order['lines'][number], quantity = line.orderedQuantity) =>
    post('receive', line, quantity, { orderLineId: line.id });

  for (const line of whole.lines) await receive(line);
  const [first] = whole.lines;
  const [part] = partial.lines;
  const [unplaced] = draft.lines;
  if (!first || !part || !unplaced) throw new Error('An order has no lines');
  await receive(part, part.packContent);
  const buildId = build.id;
  await post('issue', first, first.packContent, { buildId });
  await post('return', first, '1', { buildId, reason: 'left over' });
  const answers = {
    unapproved,
    ownDecision,
    aboveOrder: await send('receive', first, '1', { orderLineId: first.id }),
    beforePlacing: await send('receive', unplaced, '1', { orderLineId: unplaced.id }),
    belowZero: await send('issue', first, first.orderedQuantity, { buildId }),
    moreThanIssued: await send('return', first, first.packContent, { buildId }),
  };
  const get = (id: string) => coordinator.get(order, `/orders/${id}`);
  return {
    entries,
    answers,
    after: { whole: await get(whole.id), partial: await get(partial.id) },
    balances: await storekeeper.list(stockBalance, `/stock-balances?storeId=${store.id}`),
  };
}

export type ChainSupply = Awaited<ReturnType<typeof planSupply>>;
