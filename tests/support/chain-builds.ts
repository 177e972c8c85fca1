import { type Bill, bill, buildBill } from '../../shared/contract/bill.ts';
import { type Build, build, type MadeBuilds, madeBuilds } from '../../shared/contract/build.ts';
import { fewAtATime } from './chain-client.ts';
import type { ChainDesigns } from './chain-designs.ts';
import { type ChainSeason, PRICED_ON, VILLAGES } from './chain-season.ts';
import type { ChainSites, ChainSizings } from './chain-sites.ts';
import { micro } from './exact.ts';

/** What each grant pays of the builds of a village, by the village's turn in the list. */
export const SHARES_BY_TURN: readonly Readonly<Record<string, string>>[] = [
  { 'G-1': '1' },
  { 'G-1': '0.5', 'G-2': '0.5' },
  { 'G-2': '0.65', 'G-3': '0.35' },
  { 'G-1': '0.33333333', 'G-2': '0.33333333', 'G-3': '0.33333334' },
];

const sharesOf = ({ grants }: ChainSeason, turn: number) =>
  Object.entries(SHARES_BY_TURN[turn % SHARES_BY_TURN.length] ?? {}).map(([code, shareRatio]) => ({
    grantId: grants.find((grant) => grant.code === code)?.id ?? '',
    shareRatio,
  }));

/** A build at every sized site, village after village; first what must be refused. */
export async function makeBuilds(
  season: ChainSeason,
  designs: ChainDesigns,
  { sites }: ChainSites,
  { sizings }: ChainSizings,
) {
  const { coordinator, programmeId, villageIds } = season;
  const chosen = sizings.filter(({ designRevisionId }) => designRevisionId !== null);
  const unsized = sizings.find(({ refusal }) => refusal === 'ground-unknown');
  const ask = (siteId: string | undefined, more: object) =>
    coordinator.send('/builds', {
      siteId,
      pricedOn: PRICED_ON,
      grantShares: sharesOf(season, 0),
      ...more,
    });
  const sized = chosen[0]?.siteId;
  const answers = {
    onUndecided: await ask(sized, { designRevisionId: designs.undecided.id }),
    onRefused: await ask(sized, { designRevisionId: designs.refused.id }),
    withoutDesign: await ask(unsized?.siteId, {}),
    sharesBelowOne: await ask(sized, { grantShares: sharesOf(season, 1).slice(1) }),
  };
  const none = await coordinator.list(build, `/builds?programmeId=${programmeId}`);
  const made: MadeBuilds[] = [];
  const isChosen = new Set(chosen.map(({ siteId }) => siteId));
  for (const [turn, village] of VILLAGES.entries()) {
    const siteIds = sites
      .filter(({ id, villageId }) => villageId === villageIds.get(village) && isChosen.has(id))
      .map(({ id }) => id);
    const path = `/programmes/${programmeId}/builds`;
    const body = { siteIds, codePrefix: 'B-', pricedOn: PRICED_ON };
    made.push(
      await coordinator.post(madeBuilds, path, { ...body, grantShares: sharesOf(season, turn) }),
    );
  }
  const builds = await coordinator.list(build, `/builds?programmeId=${programmeId}`);
  return { answers, countAfterRefusals: none.length, made, builds };
}

/** The bill of every build, and the totals by village, by grant and over the programme. */
export async function readBills(
  { coordinator, programmeId, villageIds, grants }: ChainSeason,
  builds: readonly Build[],
) {
  const read = (query: string) => coordinator.get(bill, `/bills?${query}`);
  const villages: Bill[] = [];
  for (const id of villageIds.values()) {
    villages.push(await read(`programmeId=${programmeId}&villageId=${id}`));
  }
  const byGrant: Bill[] = [];
  for (const { id } of grants) byGrant.push(await read(`grantId=${id}`));
  return {
    builds: await fewAtATime(builds, ({ id }) => coordinator.get(buildBill, `/builds/${id}/bill`)),
    villages,
    programme: await read(`programmeId=${programmeId}`),
    grants: byGrant,
  };
}

interface Money {
  readonly amount: string;
}
interface MaterialSum {
  readonly materialCode: string;
  readonly netQuantity: string;
  readonly withWasteQuantity: string;
}
interface Line extends MaterialSum {
  readonly amount: Money;
  readonly isInKind: boolean;
}
interface MaterialRow extends MaterialSum {
  readonly amount: Money;
  readonly inKindAmount: Money;
}

type Sums = Record<'net' | 'withWaste' | 'cash' | 'inKind', bigint>;

function tableOf<Row extends MaterialSum>(
  rows: readonly Row[],
  moneyOf: (row: Row) => { readonly cash: bigint; readonly inKind: bigint },
): Record<string, Sums> {
  const table: Record<string, Sums> = {};
  for (const row of rows) {
    const before = table[row.materialCode] ?? { net: 0n, withWaste: 0n, cash: 0n, inKind: 0n };
    const { cash, inKind } = moneyOf(row);
    table[row.materialCode] = {
      net: before.net + micro(row.netQuantity),
      withWaste: before.withWaste + micro(row.withWasteQuantity),
      cash: before.cash + cash,
      inKind: before.inKind + inKind,
    };
  }
  return table;
}

/** Quantities and money of every material in whole millionths, from the lines of bills. */
export const byMaterial = (lines: readonly Line[]) =>
  tableOf(lines, ({ amount, isInKind }) => ({
    cash: isInKind ? 0n : micro(amount.amount),
    inKind: isInKind ? micro(amount.amount) : 0n,
  }));

/** The same from the totals that the bills give for each material. */
export const byMaterialTotals = (rows: readonly MaterialRow[]) =>
  tableOf(rows, ({ amount, inKindAmount }) => ({
    cash: micro(amount.amount),
    inKind: micro(inKindAmount.amount),
  }));

export type ChainBuilds = Awaited<ReturnType<typeof makeBuilds>>;
export type ChainBills = Awaited<ReturnType<typeof readBills>>;
