import type { DeliveryOffer, NewDeliveryOffer } from '../../../shared/contract/delivery-offer.ts';
import type { NewOfferWithdrawal } from '../../../shared/contract/offer.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { type WithdrawableStore, withdrawOnce } from '../../domain/withdrawal.ts';

export type DeliveryOfferStore = WithdrawableStore<DeliveryOffer, NewDeliveryOffer>;

export interface DeliveryOffers {
  readonly store: DeliveryOfferStore;
  withdraw(tx: Tx, id: string, input: NewOfferWithdrawal): Promise<DeliveryOffer>;
}

export function createDeliveryOffers(store: DeliveryOfferStore, clock: Clock): DeliveryOffers {
  return {
    store,
    withdraw: (tx, id, { withdrawnOn }) => withdrawOnce(tx, store, clock, id, withdrawnOn),
  };
}
