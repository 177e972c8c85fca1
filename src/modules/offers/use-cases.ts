import type { NewOffer, NewOfferWithdrawal, Offer } from '../../../shared/contract/offer.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { type WithdrawableStore, withdrawOnce } from '../../domain/withdrawal.ts';

export type OfferStore = WithdrawableStore<Offer, NewOffer>;

export interface Offers {
  readonly store: OfferStore;
  withdraw(tx: Tx, id: string, input: NewOfferWithdrawal): Promise<Offer>;
}

export function createOffers(store: OfferStore, clock: Clock): Offers {
  return {
    store,
    withdraw: (tx, id, { withdrawnOn }) => withdrawOnce(tx, store, clock, id, withdrawnOn),
  };
}
