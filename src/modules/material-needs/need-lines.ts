import type {
  MaterialNeed,
  MaterialNeeds as NeedsPage,
  SuggestedTransfer,
} from '../../../shared/contract/material-needs.ts';
import { addDays } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { openCursor, sealCursor } from '../../http/page.ts';
import { cheapestOffers, labelsOf, storeLabels } from './labels-repository.ts';
import { plannedReceipts } from './planned-receipts.ts';
import type { MaterialNeeds, NeedsInput, SeasonNeeds } from './use-cases.ts';

interface Paging {
  readonly limit: number;
  readonly cursor?: string | undefined;
}

export interface NeedLines {
  page(tx: Tx, input: NeedsInput & Paging): Promise<NeedsPage>;
  /** Every line, for a file; the horizon and the weeks bound it. */
  all(tx: Tx, input: NeedsInput): Promise<{ code: string; lines: MaterialNeed[] }>;
  transfers(
    tx: Tx,
    input: NeedsInput & Paging,
  ): Promise<{ items: SuggestedTransfer[]; nextCursor: string | null }>;
}

/** The needs of a season as lines that people read, with what to order when. */
export function createNeedLines(needs: MaterialNeeds, clock: Clock): NeedLines {
  async function linesOf(tx: Tx, season: SeasonNeeds): Promise<MaterialNeed[]> {
    const { horizon, programme } = season;
    const labels = await labelsOf(tx, season.needs);
    const offers = await cheapestOffers(
      tx,
      season.needs.map(({ materialId }) => materialId),
      programme.currency,
      clock.today(),
    );
    const receiptOf = plannedReceipts(season, offers, clock.today());
    return season.needs
      .map((need): MaterialNeed => {
        const material = labels.materials.get(need.materialId);
        const village = labels.villages.get(need.villageId);
        return {
          materialId: need.materialId,
          materialCode: material?.code ?? '',
          materialName: material?.name ?? '',
          unitCode: need.unitCode as MaterialNeed['unitCode'],
          villageId: need.villageId,
          villageCode: village?.code ?? '',
          villageName: village?.name ?? '',
          period: need.period,
          periodStartsOn: addDays(horizon.startsOn, (need.period - 1) * horizon.periodDays),
          grossQuantity: need.quantity,
          overdueQuantity: need.overdueQuantity,
          fromVillageStock: need.fromVillageStock,
          fromTransfers: need.fromTransfers,
          fromOpenOrders: need.fromOpenOrders,
          netQuantity: need.netQuantity,
          plannedReceipt: receiptOf(need),
        };
      })
      .sort(
        (a, b) =>
          compareText(a.materialCode, b.materialCode) ||
          compareText(a.villageCode, b.villageCode) ||
          a.period - b.period,
      );
  }

  return {
    async page(tx, { limit, cursor, ...input }) {
      const list = `material-needs?${JSON.stringify(input)}`;
      const from = cursor === undefined ? 0 : Number(openCursor(tx.actor, list, cursor)[0]);
      const season = await needs.season(tx, input);
      const lines = await linesOf(tx, season);
      const { startsOn, periodDays, periodCount, dueDaysBeforeStage } = season.horizon;
      return {
        startsOn,
        periodDays,
        periodCount,
        dueDaysBeforeStage,
        undatedBuilds: { ...season.undated, codes: [...season.undated.codes] },
        items: lines.slice(from, from + limit),
        nextCursor:
          lines.length > from + limit ? sealCursor(tx.actor, list, [String(from + limit)]) : null,
      };
    },
    async all(tx, input) {
      const season = await needs.season(tx, input);
      return { code: season.programme.code, lines: await linesOf(tx, season) };
    },
    async transfers(tx, { limit, cursor, ...input }) {
      const list = `suggested-transfers?${JSON.stringify(input)}`;
      const from = cursor === undefined ? 0 : Number(openCursor(tx.actor, list, cursor)[0]);
      const { transfers, horizon } = await needs.season(tx, input);
      const labels = await labelsOf(
        tx,
        transfers.map((one) => ({ ...one, villageId: one.toVillageId })),
      );
      const stores = await storeLabels(
        tx,
        transfers.map(({ fromStoreId }) => fromStoreId),
      );
      const items = transfers
        .map(
          ({ period, ...one }): SuggestedTransfer => ({
            ...one,
            materialCode: labels.materials.get(one.materialId)?.code ?? '',
            fromStoreCode: stores.get(one.fromStoreId)?.code ?? '',
            toVillageCode: labels.villages.get(one.toVillageId)?.code ?? '',
            neededOn: addDays(horizon.startsOn, period * horizon.periodDays - 1),
            unitCode: one.unitCode as SuggestedTransfer['unitCode'],
          }),
        )
        .sort(
          (a, b) =>
            compareText(a.neededOn, b.neededOn) ||
            compareText(a.toVillageCode, b.toVillageCode) ||
            compareText(a.materialCode, b.materialCode) ||
            compareText(a.fromStoreCode, b.fromStoreCode),
        );
      return {
        items: items.slice(from, from + limit),
        nextCursor:
          items.length > from + limit ? sealCursor(tx.actor, list, [String(from + limit)]) : null,
      };
    },
  };
}

const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
