import { EngineError } from '../errors.ts';
import { lineAmount, type Money, sumMoney } from './money.ts';

/** Labour or goods given, valued at a rate whose source is on record. */
export interface InKindEntry {
  readonly entryId: string;
  readonly quantity: string;
  readonly unitCode: string;
  readonly unitRate: string;
  /** Where the rate comes from; an entry without one is not counted. */
  readonly rateSource: string;
}

export interface InKindValue {
  readonly total: Money;
  readonly amountByEntryId: Readonly<Record<string, Money>>;
}

/**
 * Value of in-kind contributions: Σ quantity · rate, each entry rounded half-even once.
 *
 * @throws {EngineError} `missing-data` for an entry without the source of its rate, `inconsistent`
 *   when an entry occurs twice
 * @source us-2-cfr-200-306
 */
export function inKindValue(entries: readonly InKindEntry[], currency: string): InKindValue {
  const amounts = new Map<string, Money>();
  for (const { entryId, quantity, unitRate, rateSource } of entries) {
    if (rateSource.trim() === '') {
      throw new EngineError('missing-data', `${entryId}.rateSource`, rateSource, 'name the source');
    }
    if (amounts.has(entryId)) {
      throw new EngineError('inconsistent', 'entryId', entryId, 'is counted twice');
    }
    if (quantity.startsWith('-')) {
      throw new EngineError(
        'out-of-range',
        `${entryId}.quantity`,
        quantity,
        'must not be negative',
      );
    }
    amounts.set(entryId, lineAmount(quantity, unitRate, currency));
  }
  return {
    total: sumMoney([...amounts.values()], currency),
    amountByEntryId: Object.fromEntries(amounts),
  };
}
