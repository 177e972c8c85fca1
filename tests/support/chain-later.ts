import { type Build, build } from '../../shared/contract/build.ts';
import { job } from '../../shared/contract/job.ts';
import { site } from '../../shared/contract/site.ts';
import type { ChainDesigns } from './chain-designs.ts';
import { journeyOf, recordAll } from './chain-field.ts';
import type { ChainLedger } from './chain-money.ts';
import { type ChainReports, freeze, readReport } from './chain-report.ts';
import { type ChainSeason, TODAY } from './chain-season.ts';
import { runQueuedJobs } from './jobs.ts';
import type { TestService } from './service.ts';

interface Earlier {
  readonly designs: ChainDesigns;
  readonly ledger: ChainLedger;
  readonly reports: ChainReports;
  /** Handed over before the reports. */
  readonly done: Build;
  /** Handed over only now, by facts of days before the reports. */
  readonly late: Build;
  readonly dropped: Build;
}

/**
 * What comes in after the reports: costs and facts of earlier days, a reversal, another rate, more
 * people at a site and a new sizing, a cancelled build. Then the reports again, and new ones.
 */
export async function recordLater(service: TestService, season: ChainSeason, earlier: Earlier) {
  const { coordinator, made, programmeId, grants } = season;
  const { designs, ledger, reports, done, late, dropped } = earlier;
  for (const { id, currency } of grants) {
    await made.make('cost-entries', {
      programmeId,
      grantId: id,
      state: 'paid',
      funding: 'cash',
      occurredOn: '2027-03-03',
      description: 'Found in a drawer',
      amount: { amount: '77.70', currency },
    });
  }
  await made.make(`cost-entries/${ledger.paid.id}/reversals`, {
    occurredOn: TODAY,
    reason: 'Paid twice by the bank.',
  });
  await made.make('exchange-rates', {
    fromCurrency: 'EUR',
    toCurrency: 'USD',
    rate: '2.5',
    rateOn: '2027-06-01',
    source: 'another invented bank',
  });
  await recordAll(season, late.id, journeyOf(late, designs));
  await coordinator.post(build, `/builds/${dropped.id}/cancellations`, { reason: 'Moved.' }, 200);
  const { version, peopleServed } = await coordinator.get(site, `/sites/${done.siteId}`);
  await coordinator
    .edit(`/sites/${done.siteId}`, version, { peopleServed: peopleServed + 1 })
    .expect(200);
  await coordinator.post(job, `/programmes/${programmeId}/sizings`, {}, 202);
  await runQueuedJobs(service);

  const again = [];
  const renewed = [];
  for (const { grant, donor, seen } of reports.readers) {
    again.push({ before: seen, after: await readReport(donor, seen.content.id) });
    renewed.push(await freeze(season, grant, `R2-${grant.code}`));
  }
  return { again, renewed };
}
