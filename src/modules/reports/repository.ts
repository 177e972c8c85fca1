import type { Report, ReportRecord, ReportSummary } from '../../../shared/contract/report.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

const SUMMARY_COLUMNS = `
  id, grant_id as "grantId", code, period_from as "periodFrom", period_until as "periodUntil",
  data_on as "dataOn", engine_version as "engineVersion", frozen_at as "frozenAt",
  content_sha256 as "contentSha256"`;

/** A person of a donor sees reports of that donor's grants; null: no such limit. */
const VISIBLE = '($2::uuid is null or donor_id = $2)';

const LIST_SQL = `
  select ${SUMMARY_COLUMNS} from report
  where organisation_id = $1 and ${VISIBLE} and ($4::uuid is null or grant_id = $4)
    and ($5::uuid is null or id < $5)
  order by id desc limit $3`;

const GET_SQL = `
  select ${SUMMARY_COLUMNS}, content from report
  where organisation_id = $1 and ${VISIBLE} and id = $3`;

const INSERT_SQL = `
  insert into report (organisation_id, id, grant_id, donor_id, code, period_from, period_until, data_on,
    engine_version, content, content_sha256, created_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`;

const INSERT_RECORDS_SQL = `
  insert into report_figure_record (organisation_id, report_id, figure_code, noun, record_id, label, contribution)
  select $1, $2, figure_code, noun, record_id, label, contribution
  from jsonb_to_recordset($3::jsonb)
    as r(figure_code text, noun text, record_id uuid, label text, contribution numeric)`;

const RECORDS_SQL = `
  select noun, record_id as "recordId", label, contribution::text as contribution
  from report_figure_record
  where organisation_id = $1 and report_id = $2 and figure_code = $3
    and ($5::text is null or (noun, record_id) > ($5, $6::uuid))
  order by noun, record_id limit $4`;

export const listReports = (
  tx: Tx,
  grantId: string | undefined,
  after: readonly string[] | null,
  limit: number,
) =>
  tx.sql<ReportSummary>(LIST_SQL, [
    tx.organisationId,
    tx.actor.donorId,
    limit + 1,
    grantId ?? null,
    after?.[0] ?? null,
  ]);

export async function findReport(tx: Tx, id: string): Promise<Report | null> {
  const rows = await tx.sql<Report>(GET_SQL, [tx.organisationId, tx.actor.donorId, id]);
  return rows[0] ?? null;
}

export async function insertReport(
  tx: Tx,
  report: Omit<Report, 'frozenAt'>,
  donorId: string,
  records: readonly (ReportRecord & { figureCode: string })[],
) {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    report.id,
    report.grantId,
    donorId,
    report.code,
    report.periodFrom,
    report.periodUntil,
    report.dataOn,
    report.engineVersion,
    JSON.stringify(report.content),
    report.contentSha256,
    tx.actor.personId,
  ]);
  const rows = records.map((record) => ({
    figure_code: record.figureCode,
    noun: record.noun,
    record_id: record.recordId,
    label: record.label,
    contribution: record.contribution,
  }));
  await tx.sql(INSERT_RECORDS_SQL, [tx.organisationId, report.id, JSON.stringify(rows)]);
}

/** The frozen records behind one figure, up to `limit + 1`. */
export async function listFigureRecords(
  tx: Tx,
  reportId: string,
  figureCode: string,
  after: readonly string[] | null,
  limit: number,
): Promise<ReportRecord[]> {
  const rows = await tx.sql<ReportRecord>(RECORDS_SQL, [
    tx.organisationId,
    reportId,
    figureCode,
    limit + 1,
    after?.[0] ?? null,
    after?.[1] ?? null,
  ]);
  return rows.map((row) => ({ ...row, contribution: quantityText(row.contribution) }));
}
