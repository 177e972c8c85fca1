import { EngineError } from '../errors.ts';

const TWO_DECIMALS =
  'AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW CNY COP COU CRC CUC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG ZWL';
const NO_DECIMALS = 'BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF';
const THREE_DECIMALS = 'BHD IQD JOD KWD LYD OMR TND';
const FOUR_DECIMALS = 'CLF UYW';

const EXPONENTS: ReadonlyMap<string, number> = new Map(
  (
    [
      [NO_DECIMALS, 0],
      [TWO_DECIMALS, 2],
      [THREE_DECIMALS, 3],
      [FOUR_DECIMALS, 4],
    ] as const
  ).flatMap(([codes, exponent]) =>
    codes.split(' ').map((code): [string, number] => [code, exponent]),
  ),
);

/**
 * Every currency code known here, in alphabetical order.
 *
 * @source iso-4217
 */
export function currencyCodes(): string[] {
  return [...EXPONENTS.keys()].sort();
}

/**
 * Decimals of the currency's minor unit: 2 for most, 0 for XOF, UGX or JPY, 3 for KWD or TND.
 *
 * @throws {EngineError} `out-of-range` for a code that is not a currency
 * @source iso-4217
 */
export function currencyExponent(currency: string): number {
  const exponent = EXPONENTS.get(currency);
  if (exponent === undefined) {
    throw new EngineError('out-of-range', 'currency', currency, 'must be an ISO 4217 code');
  }
  return exponent;
}
