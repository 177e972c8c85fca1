import {
  allocateLots,
  firstExpiringFirst,
  type LotPart,
  lotThatSuffices,
  type StoredLot,
} from '../../../shared/procurement/lot-order.ts';
import { compareQuantities } from '../../../shared/takeoff/quantity.ts';
import { DomainError, invalidContent, ruleBroken } from '../../domain/errors.ts';
import type { Card } from './card-locks.ts';
import { belowZero, type CardName, type HeldStock } from './held-stock.ts';

export interface LotWish {
  readonly wanted: string;
  /** Left out: first expiring, first out. Null: stock without a lot. */
  readonly lotId?: string | null | undefined;
  /** The day of use. */
  readonly on: string;
  readonly name: CardName;
  /** Of the request line, such as `/lines/0`; empty for a request of one line. */
  readonly pointer?: string;
}

/** What of the store's lots makes up a quantity, first expiring first, or the lot that is named. */
export function splitOverLots(held: HeldStock, card: Card, wish: LotWish): readonly LotPart[] {
  const { wanted, lotId, on, pointer = '' } = wish;
  if (lotId !== undefined) {
    requireUsable(held, card, wish, lotId);
    return [{ lotId, quantity: wanted }];
  }
  const { parts, missing, refused } = allocateLots(wanted, held.lots(card, on));
  if (missing === '0') return parts;
  throw shortOf(held, card, wish, refused, pointer);
}

/** One lot that alone suffices; a quantity of several lots takes an issue slip. */
export function chooseLot(held: HeldStock, card: Card, wish: LotWish): string | null {
  const { wanted, lotId, on, pointer = '' } = wish;
  if (lotId !== undefined) {
    requireUsable(held, card, wish, lotId);
    return lotId;
  }
  const lots = held.lots(card, on);
  const lot = lotThatSuffices(wanted, lots);
  if (lot) return lot.lotId;
  const { missing, parts, refused } = allocateLots(wanted, lots);
  if (missing !== '0') throw shortOf(held, card, wish, refused, pointer);
  const codeOf = new Map(lots.map(({ lotId: id, code }) => [id, code]));
  const detail = `No single lot of ${wish.name.materialCode} in store ${wish.name.storeCode} holds ${wanted} ${wish.name.unitCode}; it takes ${parts.map((part) => `${part.quantity} of ${codeOf.get(part.lotId)}`).join(' and ')}. Use an issue slip (stock-issues), or name a lot for a part of it.`;
  throw ruleBroken('issue-of-several-lots', detail, [
    {
      pointer: `${pointer}/quantity`,
      code: 'lot.none-suffices',
      message: detail,
      rejectedValue: wanted,
    },
  ]);
}

/** Where a store holds lots, whoever counts or writes off says which: a sum over lots says nothing of any. */
export function requireNamedLot(
  held: HeldStock,
  card: Card,
  { lotId, on, storeCode }: { lotId?: string | null | undefined; on: string; storeCode: string },
): void {
  if (lotId !== undefined) return;
  const filled = held
    .lots(card, on)
    .filter((lot) => lot.lotId !== null && compareQuantities(lot.quantity, '0') > 0)
    .map(({ code, quantity }) => `${quantity} of lot ${code}`);
  if (filled.length === 0) return;
  throw invalidContent([
    {
      pointer: '/lotId',
      code: 'lot.missing',
      message: `is needed: store ${storeCode} holds ${filled.join(', ')}; null names what has no lot`,
    },
  ]);
}

function requireUsable(held: HeldStock, card: Card, wish: LotWish, lotId: string | null): void {
  const lot = held.lots(card, wish.on).find((each) => each.lotId === lotId);
  if (lot?.rule) throw notUsable(held, card, wish, [lot]);
}

function shortOf(
  held: HeldStock,
  card: Card,
  wish: LotWish,
  refused: readonly StoredLot[],
  pointer: string,
): DomainError {
  const balance = held.balance(card);
  if (compareQuantities(balance, wish.wanted) < 0) {
    return belowZero(card, wish.name, {
      balance,
      wanted: wish.wanted,
      pointer: `${pointer}/quantity`,
    });
  }
  return notUsable(held, card, wish, firstExpiringFirst(refused));
}

/** The refusal of lots that may not be used; its rule is that of the first of them. */
function notUsable(
  held: HeldStock,
  card: Card,
  { wanted, on, name, lotId, pointer = '' }: LotWish,
  lots: readonly StoredLot[],
): DomainError {
  const why = lots.map((lot) => (lot.lotId && held.explain(card, lot.lotId, on)) ?? '').join(' ');
  const detail = `${wanted} ${name.unitCode} of ${name.materialCode} cannot be issued from store ${name.storeCode} on ${on}. ${why}`;
  const rule = lots[0]?.rule ?? 'lot-expired';
  return new DomainError('rule-broken', {
    rule,
    detail,
    errors: [
      {
        pointer: lotId === undefined ? `${pointer}/quantity` : `${pointer}/lotId`,
        code: rule.replace('-', '.'),
        message: detail,
        rejectedValue: lotId === undefined ? wanted : lotId,
      },
    ],
    extra: { lots },
  });
}
