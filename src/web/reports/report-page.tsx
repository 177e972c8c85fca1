import type { Report } from '../../../shared/contract/report.ts';
import { read } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { addressOf } from '../api/request.ts';
import { formatDate, formatInstant, formatMoney } from '../language/format.ts';
import { Button } from '../parts/button.tsx';
import { Notice } from '../parts/notice.tsx';
import { Shown } from '../parts/shown.tsx';
import { TankShapes } from '../parts/tank-mark.tsx';
import { useTitle } from '../parts/title.ts';
import type { PageProps } from '../route/pages.tsx';
import { timeZone } from '../session/session.ts';
import { Figure } from './figure.tsx';
import './reports.css';
import { BudgetTable, BuildsTable } from './report-tables.tsx';
import { say } from './say.ts';
import { VillageTanks } from './village-tanks.tsx';

/** One report to a donor: figures down to their records, tanks by village, budget lines, builds. */
export function ReportPage({ params }: PageProps) {
  const id = params.id ?? '';
  const report = useLoaded(id, (signal) => read('/reports/:id', { id, signal }));
  return <Shown of={report}>{(value) => <ReportSheet key={id} report={value} />}</Shown>;
}

function ReportSheet({ report }: { readonly report: Report }) {
  const { content } = report;
  const title = say('report', { code: report.code });
  useTitle(title);
  return (
    <>
      <TankShapes />
      <header class="stack">
        <div class="row" data-ends="apart">
          <h1>{title}</h1>
          <div class="row no-print">
            <a class="button" href={addressOf(`/reports/${report.id}/figures.csv`)} download>
              {say('figures-file')}
            </a>
            <a class="button" href={addressOf(`/reports/${report.id}/builds.csv`)} download>
              {say('builds-file')}
            </a>
            <Button onClick={() => print()}>{say('print')}</Button>
          </div>
        </div>
        <p>
          {say('period', {
            from: formatDate(report.periodFrom),
            until: formatDate(report.periodUntil),
          })}
          . {say('data-on', { date: formatDate(report.dataOn) })}.
        </p>
        <dl class="facts panel">
          <Fact name={say('donor')} value={content.donorName} />
          <Fact name={say('grant')} value={`${content.grant.code}, ${content.grant.title}`} />
          <Fact name={say('amount')} value={formatMoney(content.grant.amount)} />
          <Fact name={say('programme')} value={content.programmeName} />
        </dl>
      </header>
      {content.cautions.length > 0 ? (
        <Notice kind="caution">
          <ul lang="en">
            {content.cautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
        </Notice>
      ) : null}
      <VillageTanks builds={content.builds} />
      <section class="stack">
        <h2>{say('figures')}</h2>
        <p class="small soft no-print">{say('figures-hint')}</p>
        <div class="figures">
          {content.figures.map((figure) => (
            <Figure key={figure.code} reportId={report.id} figure={figure} />
          ))}
        </div>
      </section>
      <BudgetTable rows={content.budget} />
      <BuildsTable rows={content.builds} />
      <p class="small soft">
        {say('frozen-at', {
          date: formatInstant(report.frozenAt, timeZone.value),
          hash: report.contentSha256,
        })}
      </p>
    </>
  );
}

function Fact({ name, value }: { readonly name: string; readonly value: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{value}</dd>
    </div>
  );
}
