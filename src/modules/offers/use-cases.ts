import type { NewOffer, NewOfferWithdrawal, Offer } from '../../../shared/contract/offer.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError } from '../../domain/errors.ts';
import { type WithdrawableStore, withdrawOnce } from '../../domain/withdrawal.ts';

import { type PriceListFilter, type PriceListRow, priceListRows } from './price-list-export.ts';

/** Most offers that one file holds; an import takes as many. */
const MAX_EXPORTED = 20_000;

export type OfferStore = WithdrawableStore<Offer, NewOffer>;

export interface Offers {
  readonly store: OfferStore;
  withdraw(tx: Tx, id: string, input: NewOfferWithdrawal): Promise<Offer>;
  /** Offers as the rows of a price list. */
  priceList(tx: Tx, filter: PriceListFilter): Promise<PriceListRow[]>;
}

export function createOffers(store: OfferStore, clock: Clock): Offers {
  return {
    store,
    withdraw: (tx, id, { withdrawnOn }) => withdrawOnce(tx, store, clock, id, withdrawnOn),
    async priceList(tx, filter) {
      const rows = await priceListRows(tx, filter, MAX_EXPORTED + 1);
      if (rows.length <= MAX_EXPORTED) return rows;
      throw new DomainError('too-large', {
        detail: `There are over ${MAX_EXPORTED} offers; narrow them by supplier, material or day.`,
      });
    },
  };
}
