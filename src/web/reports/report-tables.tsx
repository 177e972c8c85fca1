import type { Report } from '../../../shared/contract/report.ts';
import {
  formatDate,
  formatLitres,
  formatMoney,
  formatNumber,
  formatPercent,
} from '../language/format.ts';
import { Status } from '../parts/status.tsx';
import { Table } from '../parts/table.tsx';
import { say } from './say.ts';
import { isStatus, type ReportBuild } from './village-tanks.tsx';

type BudgetRow = Report['content']['budget'][number];

/** The budget lines of the grant: what is committed, accrued, paid and left. */
export function BudgetTable({ rows }: { readonly rows: readonly BudgetRow[] }) {
  return (
    <section class="stack">
      <h2>{say('budget')}</h2>
      <Table
        caption={say('budget')}
        hidesCaption
        rows={rows}
        keyOf={({ budgetLineCode }) => budgetLineCode ?? ''}
        columns={[
          {
            title: say('line'),
            isHead: true,
            cell: ({ budgetLineCode, title }) => `${budgetLineCode ?? ''} ${title}`,
          },
          { title: say('planned'), isNumber: true, cell: ({ budget }) => formatMoney(budget) },
          {
            title: say('committed'),
            isNumber: true,
            cell: ({ committed }) => formatMoney(committed),
          },
          { title: say('accrued'), isNumber: true, cell: ({ accrued }) => formatMoney(accrued) },
          { title: say('paid'), isNumber: true, cell: ({ paid }) => formatMoney(paid) },
          {
            title: say('available'),
            isNumber: true,
            cell: ({ available, isOverspent }) => (
              <>
                {formatMoney(available)}{' '}
                {isOverspent ? (
                  <span class="state" data-tone="fail">
                    {say('overspent')}
                  </span>
                ) : null}
              </>
            ),
          },
        ]}
      />
    </section>
  );
}

/** The builds that the grant pays for, wholly or in part. */
export function BuildsTable({ rows }: { readonly rows: readonly ReportBuild[] }) {
  return (
    <section class="stack">
      <h2>{say('builds')}</h2>
      <Table
        caption={say('builds')}
        hidesCaption
        rows={rows}
        keyOf={({ buildCode }) => buildCode}
        columns={[
          { title: say('build'), isHead: true, cell: ({ buildCode }) => buildCode },
          { title: say('village'), cell: ({ villageName }) => villageName },
          {
            title: say('capacity'),
            isNumber: true,
            cell: ({ capacityL }) => formatLitres(capacityL),
          },
          {
            title: say('people'),
            isNumber: true,
            cell: ({ peopleServed }) => formatNumber(peopleServed),
          },
          {
            title: say('share'),
            isNumber: true,
            cell: ({ shareRatio }) => formatPercent(Number(shareRatio), 2),
          },
          {
            title: say('status'),
            cell: ({ status }) => (isStatus(status) ? <Status of={status} /> : status),
          },
          {
            title: say('handed-over'),
            cell: ({ handedOverOn }) => (handedOverOn ? formatDate(handedOverOn) : '–'),
          },
        ]}
      />
    </section>
  );
}
