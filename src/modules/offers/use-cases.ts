import type { NewOffer, NewOfferWithdrawal, Offer } from '../../../shared/contract/offer.ts';
import type { Tx } from '../../db/database.ts';
import type { RecordStore } from '../../db/document-store.ts';
import type { Clock } from '../../domain/clock.ts';
import { ruleBroken } from '../../domain/errors.ts';

export interface OfferStore extends RecordStore<Offer, NewOffer> {
  /** False when the offer was withdrawn before. */
  withdraw(tx: Tx, id: string, withdrawnOn: string): Promise<boolean>;
}

export interface Offers {
  readonly store: OfferStore;
  withdraw(tx: Tx, id: string, input: NewOfferWithdrawal): Promise<Offer>;
}

export function createOffers(store: OfferStore, clock: Clock): Offers {
  return {
    store,
    async withdraw(tx, id, input) {
      const withdrawnOn = input.withdrawnOn ?? clock.today();
      const offer = await store.get(tx, id);
      if (offer.withdrawnOn !== null || !(await store.withdraw(tx, id, withdrawnOn))) {
        throw ruleBroken(
          'offer-withdrawn-once',
          `The offer was withdrawn on ${offer.withdrawnOn ?? 'this day'} already.`,
        );
      }
      await tx.audit('withdraw', 'offer', id, { withdrawnOn });
      return { ...offer, withdrawnOn };
    },
  };
}
