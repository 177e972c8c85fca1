import type { CostEntry } from '../../../shared/contract/cost-entry.ts';
import { exchangeMoney, type Money } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { invalidContent, ruleBroken } from '../../domain/errors.ts';
import { findRate, type GrantTerms } from './repository.ts';

type Exchange = NonNullable<CostEntry['exchange']>;

const POLICY_MEANS: Readonly<Record<GrantTerms['rate_policy'], string>> = {
  'transaction-date': 'the newest rate on or before the day of the entry',
  'period-average': 'the mean of the rates of that calendar month',
  fixed: 'the newest rate on or before the start of the grant',
};

/**
 * What an entry is worth in the currency of its grant: amount × rate, rounded half-even once. The
 * rate is the one given, or the one that the grant's policy finds; it is stored with the entry and
 * never computed again.
 */
export async function grantAmountOf(
  tx: Tx,
  grant: GrantTerms,
  amount: Money,
  occurredOn: string,
  given: Exchange | undefined,
): Promise<{ grantAmount: Money; exchange: Exchange }> {
  if (amount.currency === grant.currency) {
    if (given && !/^1(\.0+)?$/.test(given.rate)) {
      throw invalidContent([
        {
          pointer: '/exchange/rate',
          code: 'rate.same-currency',
          message: `must be 1: entry and grant are both in ${grant.currency}`,
          rejectedValue: given.rate,
        },
      ]);
    }
    return {
      grantAmount: amount,
      exchange: { rate: '1', rateOn: occurredOn, source: 'same currency' },
    };
  }
  const exchange = given ?? (await rateByPolicy(tx, grant, amount.currency, occurredOn));
  const grantAmount = exchangeMoney(amount, exchange.rate, grant.currency);
  return { grantAmount, exchange };
}

async function rateByPolicy(tx: Tx, grant: GrantTerms, currency: string, occurredOn: string) {
  const found = await findRate(tx, grant, currency, occurredOn);
  if (!found) {
    throw ruleBroken(
      'no-exchange-rate',
      `Grant ${grant.code} takes ${POLICY_MEANS[grant.rate_policy]}; there is no such rate from ${currency} to ${grant.currency} for ${occurredOn}.`,
    );
  }
  return { rate: quantityText(found.rate), rateOn: found.rate_on, source: found.source };
}
