import { useSignal } from '@preact/signals';
import type { ReportFigure, ReportRecord } from '../../../shared/contract/report.ts';
import type { Page } from '../api/addresses.ts';
import { useLoaded } from '../api/loaded.ts';
import { request } from '../api/request.ts';
import { formatMoney, formatNumber } from '../language/format.ts';
import { Shown } from '../parts/shown.tsx';
import { Table } from '../parts/table.tsx';
import { say } from './say.ts';

/** Decimals that a figure shows at the most; its records show all that they have. */
const SHOWN_DECIMALS = 2;

interface FigureProps {
  readonly reportId: string;
  readonly figure: ReportFigure;
}

/** One figure; opened, it shows the records that it is made of. */
export function Figure({ reportId, figure }: FigureProps) {
  const isOpen = useSignal(false);
  const { code, title, value, unit, basis, formula } = figure;
  return (
    <details
      class="panel figure"
      onToggle={(event) => {
        isOpen.value = event.currentTarget.open;
      }}
    >
      <summary>
        <span class="small soft" lang="en">
          {title}
        </span>
        <strong class="figure-value">
          {value === null ? say('no-value') : figureText(value, unit)}
        </strong>
      </summary>
      <p class="small soft">
        {say(`basis-${basis}`)}: <span lang="en">{formula}</span>
      </p>
      {isOpen.value ? <Records reportId={reportId} code={code} /> : null}
    </details>
  );
}

/** An amount when the unit is a currency; what its title counts needs no unit. */
function figureText(value: string, unit: string): string {
  if (/^[A-Z]{3}$/.test(unit)) return formatMoney({ amount: value, currency: unit });
  const isCount = unit === 'tank' || unit === 'person';
  return `${formatNumber(value, SHOWN_DECIMALS)}${isCount ? '' : `\u00a0${unit}`}`;
}

async function readRecords(path: string, signal: AbortSignal): Promise<ReportRecord[]> {
  const records: ReportRecord[] = [];
  let cursor: string | null = null;
  do {
    const options = { query: { limit: 200, cursor }, signal };
    const page: Page<ReportRecord> = (await request<Page<ReportRecord>>('GET', path, options)).body;
    records.push(...page.items);
    cursor = page.nextCursor;
  } while (cursor !== null);
  return records;
}

function Records({ reportId, code }: { readonly reportId: string; readonly code: string }) {
  const path = `/reports/${reportId}/figures/${code}/records`;
  const records = useLoaded(path, (signal) => readRecords(path, signal));
  return (
    <Shown of={records}>
      {(all) =>
        all.length === 0 ? (
          <p>{say('no-records')}</p>
        ) : (
          <Table
            caption={say('records')}
            isNarrow
            rows={all}
            keyOf={({ noun, recordId }) => `${noun} ${recordId}`}
            columns={[
              { title: say('record'), isHead: true, cell: ({ label }) => label },
              {
                title: say('contribution'),
                isNumber: true,
                cell: ({ contribution }) => formatNumber(contribution, 6),
              },
            ]}
          />
        )
      }
    </Shown>
  );
}
