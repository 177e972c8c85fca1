import Big from 'big.js';
import type { ReportFigure, ReportRecord } from '../../../shared/contract/report.ts';
import { currencyExponent } from '../../../shared/costing/currency.ts';
import type { BuildAtDate, CostSource, ReportSources } from './source-records.ts';

/** A figure with the records whose contributions make it up. */
export interface TracedFigure extends Omit<ReportFigure, 'recordsUrl'> {
  readonly records: readonly ReportRecord[];
}

interface Period {
  readonly from: string;
  readonly until: string;
}

const HALF_EVEN = 2;

/** Sum of contributions as plain decimal text. */
export const sumOf = (records: readonly ReportRecord[]): string =>
  records.reduce((sum, { contribution }) => sum.plus(contribution), new Big(0)).toFixed();

/** Decimals of a contribution: those of a share. Rounded before it is summed, so that sums are exact. */
const CONTRIBUTION_DECIMALS = 8;

const buildRecord = (build: BuildAtDate, contribution: string | number): ReportRecord => ({
  noun: 'build',
  recordId: build.id,
  label: `${build.code}, ${build.village_name}`,
  contribution: new Big(contribution).round(CONTRIBUTION_DECIMALS, HALF_EVEN).toFixed(),
});

const costRecord = (cost: CostSource): ReportRecord => ({
  noun: 'cost-entry',
  recordId: cost.id,
  label: `${cost.occurred_on} ${cost.description}`,
  contribution: new Big(cost.grant_amount).toFixed(),
});

/**
 * The figures of a grant's report. Physical figures count the tanks handed over in the period;
 * "own share" figures weigh each with the grant's share, so that tanks paid for by several grants
 * are not counted twice when reports are added up. Money is in the grant's currency, cash and
 * contributions in kind apart; unit costs divide what was accrued and paid by the own-share figures.
 */
export function reportFigures(sources: ReportSources, period: Period): TracedFigure[] {
  const { builds, costs, grant } = sources;
  const isDone = ({ handedOverOn: on }: BuildAtDate) =>
    on !== null && on >= period.from && on <= period.until;
  const done = builds.filter(isDone);
  const weighted = (build: BuildAtDate, value: number) =>
    new Big(build.share_ratio).times(value).toFixed();
  const summed = (
    code: string,
    title: string,
    unit: string,
    records: readonly ReportRecord[],
    basis: 'recorded' | 'modelled' = 'recorded',
  ): TracedFigure => ({
    code,
    title,
    value: sumOf(records),
    unit,
    basis,
    formula: 'sum of the contributions',
    records,
  });

  const physical = [
    summed(
      'tanks-handed-over',
      'Tanks handed over',
      'tank',
      done.map((b) => buildRecord(b, 1)),
    ),
    summed(
      'tanks-own-share',
      'Tanks handed over, own share',
      'tank',
      done.map((b) => buildRecord(b, b.share_ratio)),
    ),
    summed(
      'storage',
      'Storage handed over',
      'L',
      done.map((b) => buildRecord(b, b.capacity_l)),
    ),
    summed(
      'storage-own-share',
      'Storage handed over, own share',
      'L',
      done.map((b) => buildRecord(b, weighted(b, b.capacity_l))),
    ),
    summed(
      'people-served',
      'People registered to these tanks',
      'person',
      done.map((b) => buildRecord(b, b.people_served)),
    ),
    summed(
      'people-own-share',
      'People registered, own share',
      'person',
      done.map((b) => buildRecord(b, weighted(b, b.people_served))),
    ),
  ];
  const inPeriod = costs.filter(({ occurred_on: on }) => on >= period.from && on <= period.until);
  const cash = (entries: readonly CostSource[], ...states: CostSource['state'][]) =>
    entries
      .filter((cost) => cost.funding === 'cash' && states.includes(cost.state))
      .map(costRecord);
  const money = [
    summed(
      'committed-to-date',
      'Committed at the data date',
      grant.currency,
      cash(costs, 'committed'),
    ),
    summed(
      'accrued-to-date',
      'Received and owed at the data date',
      grant.currency,
      cash(costs, 'accrued'),
    ),
    summed('paid-to-date', 'Paid to date', grant.currency, cash(costs, 'paid')),
    summed('paid-in-period', 'Paid in the period', grant.currency, cash(inPeriod, 'paid')),
    summed(
      'spent-to-date',
      'Spent to date: accrued and paid',
      grant.currency,
      cash(costs, 'accrued', 'paid'),
    ),
    summed(
      'in-kind-to-date',
      'Contributions in kind to date, valued',
      grant.currency,
      costs.filter((cost) => cost.funding === 'in-kind').map(costRecord),
    ),
  ];
  const byCode = new Map([...physical, ...money].map((figure) => [figure.code, figure]));
  const ratio = (
    code: string,
    title: string,
    over: string,
    per: string,
    decimals: number,
    unit: string,
  ) => quotient(code, title, byCode.get(over), byCode.get(per), decimals, unit);
  const exponent = currencyExponent(grant.currency);
  return [
    ...physical,
    yieldPerPerson(done),
    ...money,
    ratio(
      'cost-per-tank',
      'Cash cost per tank',
      'spent-to-date',
      'tanks-own-share',
      exponent,
      `${grant.currency}/tank`,
    ),
    ratio(
      'cost-per-litre',
      'Cash cost per litre of storage',
      'spent-to-date',
      'storage-own-share',
      4,
      `${grant.currency}/L`,
    ),
    ratio(
      'cost-per-person',
      'Cash cost per person',
      'spent-to-date',
      'people-own-share',
      exponent,
      `${grant.currency}/person`,
    ),
  ];
}

/** Modelled yield over people, of the sized sites among the tanks handed over. */
function yieldPerPerson(done: readonly BuildAtDate[]): TracedFigure {
  const sized = done.filter(
    (build) => build.mean_yield_l_per_day !== null && build.people_served > 0,
  );
  const people = sized.reduce((sum, build) => sum + build.people_served, 0);
  const records = sized.map((build) =>
    buildRecord(build, (build.mean_yield_l_per_day ?? 0).toFixed(3)),
  );
  return {
    code: 'yield-per-person',
    title: 'Litres per person and day delivered in the design year',
    value: people === 0 ? null : new Big(sumOf(records)).div(people).toFixed(1, HALF_EVEN),
    unit: 'L/(person·d)',
    basis: 'modelled',
    formula: `sum of the modelled mean yields in L/d, over ${people} people; ${done.length - sized.length} tanks without a sizing are left out`,
    records,
  };
}

function quotient(
  code: string,
  title: string,
  over: TracedFigure | undefined,
  per: TracedFigure | undefined,
  decimals: number,
  unit: string,
): TracedFigure {
  const divisor = new Big(per?.value ?? 0);
  const value = divisor.eq(0)
    ? null
    : new Big(over?.value ?? 0).div(divisor).toFixed(decimals, HALF_EVEN);
  return {
    code,
    title,
    value,
    unit,
    basis: 'derived',
    formula: `${over?.code} / ${per?.code}`,
    records: [...(over?.records ?? []), ...(per?.records ?? [])],
  };
}
