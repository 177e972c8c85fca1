import { benchHttpReads } from './http-reads.ts';
import { benchLedger } from './ledger.ts';
import { benchLotTrace } from './lot-trace.ts';
import { benchOrderPlan } from './order-plan.ts';
import { benchRollUp } from './roll-up.ts';
import { openSeasonDatabase } from './season-database.ts';
import { benchSiteImport } from './site-import.ts';
import { benchStorageBalance } from './storage-balance.ts';

const BENCHES = ['storage', 'order-plan', 'roll-up', 'reads', 'import', 'ledger', 'trace'] as const;

/** `npm run bench` runs all; `npm run bench -- reads` only those named. */
const named = process.argv.slice(2);
const unknown = named.filter((name) => !(BENCHES as readonly string[]).includes(name));
if (unknown.length > 0) {
  process.stderr.write(
    `There is no bench ${unknown.join(', ')}; there are ${BENCHES.join(', ')}.\n`,
  );
  process.exit(2);
}
const isWanted = (name: (typeof BENCHES)[number]) => named.length === 0 || named.includes(name);

if (isWanted('storage')) await benchStorageBalance();
if (isWanted('order-plan')) await benchOrderPlan();
if (BENCHES.slice(2).some(isWanted)) {
  const season = await openSeasonDatabase();
  try {
    if (isWanted('import')) await benchSiteImport(season);
    if (isWanted('ledger')) await benchLedger(season);
    if (isWanted('roll-up') || isWanted('reads')) {
      const small = await season.addProgramme(2_000);
      if (isWanted('reads')) await benchHttpReads(season, small);
      if (isWanted('roll-up')) {
        await benchRollUp(season, small);
        await benchRollUp(season, await season.addProgramme(20_000));
      }
    }
    if (isWanted('trace')) await benchLotTrace(season, await season.addProgramme(20_000));
  } finally {
    await season.close();
  }
}
