import { benchBundle } from './bundle.ts';
import { benchCutting } from './cutting.ts';
import { benchHttpReads } from './http-reads.ts';
import { benchLedger } from './ledger.ts';
import { benchLotTrace } from './lot-trace.ts';
import { benchNeedsRollUp } from './needs-roll-up.ts';
import { benchOrderPlan } from './order-plan.ts';
import { benchOutbox } from './outbox.ts';
import { benchRollUp } from './roll-up.ts';
import { benchSeason } from './season.ts';
import { benchSeasonBuilds } from './season-builds.ts';
import { openSeasonDatabase } from './season-database.ts';
import { benchSeasonForecast } from './season-forecast.ts';
import { benchSeasonProgress } from './season-progress.ts';
import { benchSiteImport } from './site-import.ts';
import { benchStorageBalance } from './storage-balance.ts';
import { benchSupplyPlan } from './supply-plan.ts';
import { benchTankCheck } from './tank-check.ts';
import { benchTankProposal } from './tank-proposal.ts';

const BENCHES = [
  'storage',
  'tank-check',
  'tank-proposal',
  'cutting',
  'bundle',
  'order-plan',
  'season',
  'builds',
  'forecast',
  'supply',
  'roll-up',
  'reads',
  'import',
  'ledger',
  'needs',
  'trace',
  'outbox',
  'progress',
] as const;

/** `npm run bench` runs all; `npm run bench -- reads` only those named; options stand last. */
const args = process.argv.slice(2);
const optionsAt = args.findIndex((arg) => arg.startsWith('--'));
const named = optionsAt < 0 ? args : args.slice(0, optionsAt);
const options = optionsAt < 0 ? [] : args.slice(optionsAt);
const unknown = named.filter((name) => !(BENCHES as readonly string[]).includes(name));
if (unknown.length > 0) {
  process.stderr.write(
    `There is no bench ${unknown.join(', ')}; there are ${BENCHES.join(', ')}.\n`,
  );
  process.exit(2);
}
const isWanted = (name: (typeof BENCHES)[number]) => named.length === 0 || named.includes(name);

if (isWanted('storage')) await benchStorageBalance();
if (isWanted('tank-check')) await benchTankCheck();
if (isWanted('tank-proposal')) await benchTankProposal();
if (isWanted('cutting')) await benchCutting();
if (isWanted('bundle')) await benchBundle();
if (isWanted('order-plan')) await benchOrderPlan();
if (isWanted('season')) benchSeason(options);
if (isWanted('builds')) benchSeasonBuilds();
if (isWanted('forecast')) benchSeasonForecast();
if (isWanted('supply')) await benchSupplyPlan();
if (BENCHES.slice(10).some(isWanted)) {
  const season = await openSeasonDatabase();
  try {
    if (isWanted('import')) await benchSiteImport(season);
    if (isWanted('ledger')) await benchLedger(season);
    if (isWanted('outbox')) await benchOutbox(season);
    if (isWanted('roll-up') || isWanted('reads')) {
      const small = await season.addProgramme(2_000);
      if (isWanted('reads')) await benchHttpReads(season, small);
      if (isWanted('roll-up')) {
        await benchRollUp(season, small);
        await benchRollUp(season, await season.addProgramme(20_000));
      }
    }
    if (isWanted('progress')) {
      await benchSeasonProgress(season, await season.addProgramme(20_000));
    }
    if (isWanted('needs') || isWanted('trace')) {
      const large = await season.addProgramme(20_000);
      if (isWanted('needs')) await benchNeedsRollUp(season, large);
      if (isWanted('trace')) await benchLotTrace(season, large);
    }
  } finally {
    await season.close();
  }
}
