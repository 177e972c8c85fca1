import { v7 as uuidv7 } from 'uuid';
import type { BuildLots, LotTrace, RecalledLot } from '../../../shared/contract/lot-trace.ts';
import type {
  LotRecall,
  LotTest,
  NewLotRecall,
  NewLotTest,
  NewRecallLift,
  NewStockLot,
  StockLot,
  StockLotWhole,
} from '../../../shared/contract/stock-lot.ts';
import { lotStanding } from '../../../shared/procurement/lot-standing.ts';
import { cementStrengthLeftRatio } from '../../../shared/takeoff/cement-age.ts';
import { daysBetween } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import type { Page } from '../../http/page.ts';
import {
  findLot,
  findLotMaterial,
  holdLot,
  insertLot,
  insertRecall,
  insertTest,
  type LotFilter,
  type LotRow,
  listLots,
  recallsOf,
  testsOf,
} from './repository.ts';
import { requireLotIdentity, toLotInsert, unknownMaterial } from './take-in-lot.ts';
import { lotsOfBuild, traceOf } from './trace-repository.ts';

export interface StockLots {
  create(tx: Tx, input: NewStockLot): Promise<StockLotWhole>;
  get(tx: Tx, id: string): Promise<StockLotWhole>;
  list(tx: Tx, filter: LotFilter): Promise<Page<StockLot>>;
  test(tx: Tx, lotId: string, input: NewLotTest): Promise<LotTest>;
  recall(tx: Tx, lotId: string, input: NewLotRecall): Promise<RecalledLot>;
  lift(tx: Tx, lotId: string, input: NewRecallLift): Promise<LotRecall>;
  trace(tx: Tx, lotId: string): Promise<LotTrace>;
  lotsOfBuild(tx: Tx, buildId: string): Promise<BuildLots>;
}

/** Lots of materials: what they are told apart by, how long they may be used, where they went. */
export function createStockLots(clock: Clock): StockLots {
  const whole = async (tx: Tx, id: string): Promise<StockLotWhole> => ({
    ...toStockLot(await requireLot(tx, id), clock.today()),
    tests: await testsOf(tx, id),
    recalls: await recallsOf(tx, id),
  });
  return {
    get: whole,
    async create(tx, input) {
      const material = await findLotMaterial(tx, input.materialId);
      if (!material) throw unknownMaterial(input.materialId);
      if (material.category === 'labour') {
        throw ruleBroken('labour-not-stocked', `${material.code} is labour; no store holds it.`);
      }
      requireLotIdentity(material, input, clock.today());
      const lot = toLotInsert(material, input);
      await insertLot(tx, lot);
      await tx.audit('create', 'stock lot', lot.id, input);
      return whole(tx, lot.id);
    },
    async list(tx, filter) {
      const page = await listLots(tx, filter);
      return { ...page, items: page.items.map((row) => toStockLot(row, clock.today())) };
    },
    async test(tx, lotId, input) {
      await requireLot(tx, lotId);
      refuseFutureDate(clock, '/testedOn', input.testedOn);
      if (input.outcome === 'passed' && input.usableUntil <= input.testedOn) {
        throw invalidContent([
          {
            pointer: '/usableUntil',
            code: 'date.before-test',
            message: `must be after the test of ${input.testedOn}`,
            rejectedValue: input.usableUntil,
          },
        ]);
      }
      await holdLot(tx, lotId);
      const id = input.id ?? uuidv7();
      await insertTest(tx, lotId, id, input);
      await tx.audit('test', 'stock lot', lotId, input);
      return only(await testsOf(tx, lotId), id);
    },
    async recall(tx, lotId, input) {
      const lot = await requireLot(tx, lotId);
      refuseFutureDate(clock, '/recalledOn', input.recalledOn);
      await holdLot(tx, lotId);
      if ((await recallsOf(tx, lotId)).some(({ liftedOn }) => liftedOn === null)) {
        throw ruleBroken('lot-already-recalled', `Lot ${lot.code} is recalled already.`);
      }
      const id = input.id ?? uuidv7();
      await insertRecall(tx, { ...input, id, lotId, liftsId: null });
      await tx.audit('recall', 'stock lot', lotId, input);
      return { recall: only(await recallsOf(tx, lotId), id), trace: await this.trace(tx, lotId) };
    },
    async lift(tx, lotId, input) {
      await requireLot(tx, lotId);
      refuseFutureDate(clock, '/liftedOn', input.liftedOn);
      const recall = (await recallsOf(tx, lotId)).find(({ id }) => id === input.recallId);
      if (!recall) throw notFound('recall of this lot', input.recallId);
      if (recall.liftedOn !== null) {
        throw ruleBroken('recall-lifted', `This recall was lifted on ${recall.liftedOn}.`);
      }
      if (input.liftedOn < recall.recalledOn) {
        throw invalidContent([
          {
            pointer: '/liftedOn',
            code: 'date.before-recall',
            message: `must not be before the recall of ${recall.recalledOn}`,
            rejectedValue: input.liftedOn,
          },
        ]);
      }
      await insertRecall(tx, {
        id: input.id ?? uuidv7(),
        lotId,
        recalledOn: input.liftedOn,
        reason: input.reason,
        liftsId: input.recallId,
      });
      await tx.audit('lift recall', 'stock lot', lotId, input);
      return only(await recallsOf(tx, lotId), input.recallId);
    },
    async trace(tx, lotId) {
      const lot = toStockLot(await requireLot(tx, lotId), clock.today());
      return { lot, inStoresQuantity: lot.inStoresQuantity, ...(await traceOf(tx, lotId)) };
    },
    async lotsOfBuild(tx, buildId) {
      const found = await lotsOfBuild(tx, buildId, clock.today());
      if (!found) throw notFound('build', buildId);
      return found;
    },
  };
}

async function requireLot(tx: Tx, id: string): Promise<LotRow> {
  const lot = await findLot(tx, id);
  if (!lot) throw notFound('lot', id);
  return lot;
}

function only<Item extends { id: string }>(items: readonly Item[], id: string): Item {
  const item = items.find((each) => each.id === id);
  if (!item) throw new Error('A record was not found after it was written');
  return item;
}

function toStockLot(row: LotRow, today: string): StockLot {
  const { lastOutcome, lastTestedOn, lastUsableUntil, recalledOn, category, ...lot } = row;
  const lastTest =
    lastOutcome && lastTestedOn
      ? { outcome: lastOutcome, testedOn: lastTestedOn, usableUntil: lastUsableUntil }
      : null;
  return {
    ...lot,
    unitCode: lot.unitCode as StockLot['unitCode'],
    ...lotStanding({ expiresOn: lot.expiresOn, lastTest, recalledOn }, today),
    strengthLeftRatio: strengthLeft(category, lot.manufacturedOn, today),
  };
}

const DAYS_PER_MONTH = 365.25 / 12;
const TABLE_ENDS_MONTHS = 24;

function strengthLeft(category: string, madeOn: string | null, today: string): number | null {
  if (category !== 'binder' || madeOn === null) return null;
  const months = daysBetween(madeOn, today) / DAYS_PER_MONTH;
  return months < 0 || months > TABLE_ENDS_MONTHS ? null : cementStrengthLeftRatio(months);
}
