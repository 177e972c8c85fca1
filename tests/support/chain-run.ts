import type { Build } from '../../shared/contract/build.ts';
import { makeBuilds, readBills } from './chain-builds.ts';
import { approveDesigns } from './chain-designs.ts';
import { buildWithTrouble, journeyOf, recordAll, visit } from './chain-field.ts';
import { recordLater } from './chain-later.ts';
import { keepLedger } from './chain-money.ts';
import { recount } from './chain-recount.ts';
import { reportToDonors } from './chain-report.ts';
import { foundSeason, type VILLAGES } from './chain-season.ts';
import { importSites, sizeSites } from './chain-sites.ts';
import { moveStock, planSupply } from './chain-supply.ts';
import type { TestService } from './service.ts';

/** The whole job once, in its order; what it answered is looked at afterwards. */
export async function runChain(service: TestService) {
  const season = await foundSeason(service);
  const designs = await approveDesigns(season);
  const imported = await importSites(service, season);
  const sized = await sizeSites(service, season);
  const built = await makeBuilds(season, designs, imported, sized);
  const buildIn = (village: (typeof VILLAGES)[number], place = 0) =>
    built.builds.filter(({ siteCode }) => siteCode.startsWith(village))[place] as Build;
  const bills = await readBills(season, built.builds);
  const supply = await planSupply(service, season);
  const first = buildIn('KESKOR');
  const stock = await moveStock(season, supply.orders, first);
  const trouble = await buildWithTrouble(season, journeyOf(first, designs), first.id);
  const others = [buildIn('ORLIM'), buildIn('PIVAN'), buildIn('TUMBEK')];
  for (const one of others) await recordAll(season, one.id, journeyOf(one, designs));
  const visited = await visit(season, first.id);
  const ledger = await keepLedger(season, supply.orders, [first, ...others]);
  const reports = await reportToDonors(service, season);
  const recounts = [];
  for (const { id } of season.grants) recounts.push(await recount(service, season, id));
  const later = await recordLater(service, season, {
    designs,
    ledger,
    reports,
    done: first,
    late: buildIn('KESKOR', 1),
    dropped: buildIn('ORLIM', 1),
  });
  return {
    ...{ season, designs, imported, sized, built, bills, supply, stock, first, trouble, visited },
    ...{ ledger, reports, recounts, later },
  };
}

export type Chain = Awaited<ReturnType<typeof runChain>>;
