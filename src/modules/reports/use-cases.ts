import { createHash } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import type {
  NewReport,
  Report,
  ReportContent,
  ReportRecord,
} from '../../../shared/contract/report.ts';
import { ENGINE_VERSION } from '../../../shared/version.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf } from '../../db/wire-values.ts';
import type { Clock } from '../../domain/clock.ts';
import { notFound } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { budgetTable } from './budget-table.ts';
import { reportFigures } from './figures.ts';
import { findReport, insertReport, listFigureRecords, listReports } from './repository.ts';
import { type BuildAtDate, readSources, type StandingsOn } from './source-records.ts';

const CAUTIONS = [
  'A tank built is not a service delivered: litres per person and day are modelled from a rain record, not measured.',
  'Nothing here says that the water is fit to drink; only the health authority can.',
  'Designs were approved by the engineer named in each design revision; local codes and licensed practice come first.',
];

export interface Reports {
  /** Computes and freezes the report of a grant; later records change nothing in it. */
  freeze(tx: Tx, grantId: string, input: NewReport): Promise<Report>;
  get(tx: Tx, id: string): Promise<Report>;
  list: typeof listReports;
  figureRecords(
    tx: Tx,
    reportId: string,
    figureCode: string,
    after: readonly string[] | null,
    limit: number,
  ): Promise<ReportRecord[]>;
}

export function createReports(clock: Clock, standingsOn: StandingsOn): Reports {
  async function get(tx: Tx, id: string): Promise<Report> {
    const found = await findReport(tx, id);
    if (!found) throw notFound('report', id);
    return found;
  }

  return {
    get,
    list: listReports,

    async freeze(tx, grantId, input) {
      refuseFutureDate(clock, '/dataOn', input.dataOn);
      const sources = await readSources(tx, grantId, input.dataOn, standingsOn);
      if (!sources) throw notFound('grant', grantId);
      const id = input.id ?? uuidv7();
      const isRunning = input.dataOn < input.periodUntil;
      const until = isRunning ? input.dataOn : input.periodUntil;
      const traced = reportFigures(sources, { from: input.periodFrom, until });
      const { grant } = sources;
      const content: ReportContent = {
        grant: {
          code: grant.code,
          title: grant.title,
          currency: grant.currency,
          amount: moneyOf(grant.amount, grant.currency),
        },
        donorName: grant.donor_name,
        programmeName: grant.programme_name,
        figures: traced.map(({ records: _, ...figure }) => ({
          ...figure,
          recordsUrl: `/v1/reports/${id}/figures/${figure.code}/records`,
        })),
        budget: budgetTable(sources),
        builds: sources.builds.map(buildRow),
        cautions: CAUTIONS,
      };
      const contentSha256 = createHash('sha256').update(JSON.stringify(content)).digest('hex');
      const { code, periodFrom, periodUntil, dataOn } = input;
      const records = traced.flatMap(({ code: figureCode, records }) =>
        records.map((record) => ({ ...record, figureCode })),
      );
      await insertReport(
        tx,
        {
          id,
          grantId,
          code,
          periodFrom,
          periodUntil,
          dataOn,
          engineVersion: ENGINE_VERSION,
          contentSha256,
          content,
        },
        grant.donor_id,
        records,
      );
      await tx.audit('freeze', 'report', id, { grantId, code, contentSha256 });
      return get(tx, id);
    },

    async figureRecords(tx, reportId, figureCode, after, limit) {
      const report = await get(tx, reportId);
      if (!report.content.figures.some(({ code }) => code === figureCode)) {
        throw notFound('figure', figureCode);
      }
      return listFigureRecords(tx, reportId, figureCode, after, limit);
    },
  };
}

function buildRow(build: BuildAtDate): ReportContent['builds'][number] {
  return {
    buildCode: build.code,
    villageName: build.village_name,
    capacityL: build.capacity_l,
    peopleServed: build.people_served,
    shareRatio: build.share_ratio,
    status: build.status,
    percentComplete: Number(build.percentComplete),
    handedOverOn: build.handedOverOn,
  };
}
