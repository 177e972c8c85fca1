import { report, reportRecord, reportSummary } from '../../shared/contract/report.ts';
import { type Client, clientOf } from './chain-client.ts';
import { type ChainSeason, TODAY } from './chain-season.ts';
import type { TestService } from './service.ts';

export const PERIOD = { periodFrom: '2027-01-01', periodUntil: '2027-12-31', dataOn: TODAY };

type Grant = ChainSeason['grants'][number];

/** Freezes the report of a grant at the end of today. */
export const freeze = ({ coordinator }: ChainSeason, grant: Grant, code: string) =>
  coordinator.post(report, `/grants/${grant.id}/reports`, { code, ...PERIOD });

/** Everything that a reader can reach of a report: content, records behind each figure, both files. */
export async function readReport(reader: Client, reportId: string) {
  const path = `/reports/${reportId}`;
  const content = await reader.get(report, path);
  const records: Record<string, Awaited<ReturnType<typeof recordsBehind>>> = {};
  const recordsBehind = (url: string) => reader.list(reportRecord, url.replace('/v1', ''));
  for (const { code, recordsUrl } of content.content.figures) {
    records[code] = await recordsBehind(recordsUrl);
  }
  return {
    content,
    records,
    figuresCsv: (await reader.ask(`${path}/figures.csv`).expect(200)).text,
    buildsCsv: (await reader.ask(`${path}/builds.csv`).expect(200)).text,
  };
}

/** What else a donor might try, all of it outside a report. */
const CLOSED_TO_DONORS = [
  '/programmes',
  '/sites',
  '/builds',
  '/grants',
  '/cost-entries',
  '/orders',
  '/stock-balances',
  '/inspections',
  '/design-revisions',
  '/people',
];

/** The reports of all grants, as each grant's own donor sees them. */
export async function reportToDonors(service: TestService, season: ChainSeason) {
  const { coordinator, grants, programmeId } = season;
  const frozen = [];
  for (const grant of grants) frozen.push(await freeze(season, grant, `R-${grant.code}`));
  const readers = [];
  for (const [index, grant] of grants.entries()) {
    const { organisationId } = coordinator.person;
    const donor = clientOf(service, await service.person(['donor'], organisationId, grant.donorId));
    const others = frozen.filter((_, at) => at !== index);
    const foreign = [];
    for (const { id } of others) foreign.push(await donor.ask(`/reports/${id}`));
    const closed = [];
    for (const path of [...CLOSED_TO_DONORS, `/bills?programmeId=${programmeId}`]) {
      closed.push(await donor.ask(path));
    }
    closed.push(await donor.send(`/grants/${grant.id}/reports`, { code: 'R-X', ...PERIOD }));
    readers.push({
      grant,
      donor,
      foreign,
      closed,
      listed: await donor.list(reportSummary, '/reports'),
      seen: await readReport(donor, frozen[index]?.id ?? ''),
    });
  }
  return { frozen, readers };
}

export type ChainReports = Awaited<ReturnType<typeof reportToDonors>>;
