import type { StockEntry } from '../../../shared/contract/stock.ts';
import type { StoredLot } from '../../../shared/procurement/lot-order.ts';
import { lotStanding } from '../../../shared/procurement/lot-standing.ts';
import {
  compareQuantities,
  subtractQuantities,
  sumQuantities,
} from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { DomainError } from '../../domain/errors.ts';
import { type Card, cardKey, lockCards } from './card-locks.ts';
import { insertEntry, type StockPosting } from './repository.ts';

/** What a refusal calls a card by. */
export interface CardName {
  readonly storeCode: string;
  readonly materialCode: string;
  readonly unitCode: string;
}

/**
 * The balances of some cards, held against others until the transaction ends: the one way into the
 * ledger. No card, no lot and no stock without a lot falls below zero through it.
 */
export interface HeldStock {
  balance(card: Card): string;
  /** Lots of the card and what has no lot, each with the rule that forbids its use on that day. */
  lots(card: Card, on: string): readonly StoredLot[];
  /** Why a lot of the card stands as it does on that day; null for one that the store never had. */
  explain(card: Card, lotId: string, on: string): string | null;
  post(posting: StockPosting, name: CardName, pointer?: string): Promise<StockEntry>;
}

/** Holds those cards, always in one order. */
export async function holdStock(tx: Tx, wanted: readonly Card[]): Promise<HeldStock> {
  const { cards, lots } = await lockCards(tx, wanted);
  const balances = new Map(cards.map((card) => [cardKey(card), card.quantity]));
  const lotsOf = new Map(cards.map((card) => [cardKey(card), new Map<string, string>()]));
  const known = new Map(lots.map((lot) => [lot.lotId, lot]));
  for (const lot of lots) lotsOf.get(cardKey(lot))?.set(lot.lotId, lot.quantity);

  const balance = (card: Card): string => {
    const held = balances.get(cardKey(card));
    if (held === undefined) throw new Error('A stock card is posted to that is not held');
    return held;
  };
  const withoutLot = (card: Card): string =>
    subtractQuantities(
      balance(card),
      sumQuantities([...(lotsOf.get(cardKey(card))?.values() ?? [])]),
    );
  const quantityOf = (card: Card, lotId: string | null): string =>
    lotId === null ? withoutLot(card) : (lotsOf.get(cardKey(card))?.get(lotId) ?? '0');

  return {
    balance,
    lots: (card, on) => [
      ...[...(lotsOf.get(cardKey(card)) ?? [])].flatMap(([lotId, quantity]): StoredLot[] => {
        const lot = known.get(lotId);
        if (!lot) return [];
        const { usableUntil, rule } = lotStanding(lot.facts, on);
        return [{ lotId, code: lot.code, quantity, usableUntil, rule }];
      }),
      {
        lotId: null,
        code: 'without a lot',
        quantity: withoutLot(card),
        usableUntil: null,
        rule: null,
      },
    ],
    explain(card, lotId, on) {
      const lot = lotsOf.get(cardKey(card))?.has(lotId) ? known.get(lotId) : undefined;
      return lot ? `Lot ${lot.code} ${lotStanding(lot.facts, on).explanation}` : null;
    },
    async post(posting, name, pointer = '/quantity') {
      const before = balance(posting);
      const after = sumQuantities([before, posting.quantity]);
      const lotId = posting.lotId ?? null;
      const ofLot = quantityOf(posting, lotId);
      const lotAfter = sumQuantities([ofLot, posting.quantity]);
      const wanted = subtractQuantities('0', posting.quantity);
      if (compareQuantities(after, '0') < 0) {
        throw belowZero(posting, name, { balance: before, wanted, pointer });
      }
      if (compareQuantities(lotAfter, '0') < 0) {
        const code = lotId === null ? null : (known.get(lotId)?.code ?? lotId);
        throw belowZero(posting, name, {
          balance: ofLot,
          wanted,
          pointer,
          lot: { lotId, code },
        });
      }
      const entry = await insertEntry(tx, posting, after);
      balances.set(cardKey(posting), after);
      if (lotId !== null) lotsOf.get(cardKey(posting))?.set(lotId, lotAfter);
      return entry;
    },
  };
}

/** The refusal of what would bring a balance below zero; it says what is there. */
export function belowZero(
  { storeId, materialId }: Card,
  { storeCode, materialCode, unitCode }: CardName,
  refused: {
    readonly balance: string;
    readonly wanted: string;
    readonly pointer: string;
    readonly lot?: { readonly lotId: string | null; readonly code: string | null };
  },
): DomainError {
  const { balance, wanted, pointer, lot } = refused;
  const what =
    lot === undefined
      ? materialCode
      : lot.lotId === null
        ? `${materialCode} without a lot`
        : `${materialCode} of lot ${lot.code}`;
  const detail = `Store ${storeCode} holds ${balance} ${unitCode} of ${what}; ${wanted} ${unitCode} were wanted.`;
  return new DomainError('rule-broken', {
    rule: 'stock-below-zero',
    detail,
    errors: [{ pointer, code: 'stock.below-zero', message: detail, rejectedValue: wanted }],
    extra: {
      stock: {
        storeId,
        storeCode,
        materialId,
        materialCode,
        unitCode,
        ...(lot ? { lotId: lot.lotId, lotCode: lot.code } : {}),
        balance,
        wanted,
      },
    },
  });
}
