import type { RainSeries } from '../../../shared/contract/rain.ts';
import { read } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { formatNumber } from '../language/format.ts';
import { Notice } from '../parts/notice.tsx';
import { Shown } from '../parts/shown.tsx';
import { Table } from '../parts/table.tsx';
import { may } from '../session/session.ts';
import { monthName } from './months.ts';
import { say } from './say.ts';
import type { SiteFacts } from './site-page.tsx';

const loadCharts = () => import('./charts.ts');
type Charts = Awaited<ReturnType<typeof loadCharts>>;

interface Loaded {
  readonly series: RainSeries;
  readonly charts: Charts;
}

async function load(id: string, signal: AbortSignal): Promise<Loaded> {
  const charts = loadCharts();
  return { series: await read('/rain-series/:id', { id, signal }), charts: await charts };
}

/** The storage-reliability curve with the chosen size on it, and the rain behind it. */
export function Water({ facts }: { readonly facts: SiteFacts }) {
  const id = facts.sizing?.rainSeriesId;
  if (!id || !may('rain:read')) return null;
  return <Curves key={id} facts={facts} seriesId={id} />;
}

function Curves({ facts, seriesId }: { readonly facts: SiteFacts; readonly seriesId: string }) {
  const loaded = useLoaded(seriesId, (signal) => load(seriesId, signal));
  return (
    <Shown of={loaded} waiting={say('loading-rain')}>
      {({ series, charts }) => (
        <div class="beside">
          <section class="stack">
            <h2>{say('curve')}</h2>
            {series.missingDayCount > 0 ? (
              <Notice kind="note" title={say('curve-missing', { count: series.missingDayCount })} />
            ) : (
              <>
                <charts.ReliabilityChart facts={facts} dailyRainMm={wholeRecord(series)} />
                <p class="small soft">{say('curve-note', { count: series.dayCount })}</p>
              </>
            )}
          </section>
          <section class="stack">
            <h2>{say('rain')}</h2>
            <charts.RainChart rainByMonthMm={series.summary.meanRainByMonthMm} />
            <RainTable rainByMonthMm={series.summary.meanRainByMonthMm} />
          </section>
        </div>
      )}
    </Shown>
  );
}

const wholeRecord = ({ dailyRainMm }: RainSeries): readonly number[] =>
  dailyRainMm.filter((rainMm) => rainMm !== null);

function RainTable({ rainByMonthMm }: { readonly rainByMonthMm: readonly (number | null)[] }) {
  const rows = rainByMonthMm.map((rainMm, index) => ({ month: index + 1, rainMm }));
  return (
    <Table
      caption={say('rain')}
      hidesCaption
      isNarrow
      rows={rows}
      keyOf={({ month }) => String(month)}
      columns={[
        { title: say('month'), isHead: true, cell: ({ month }) => monthName(month) },
        {
          title: say('rain-mm'),
          isNumber: true,
          cell: ({ rainMm }) => (rainMm === null ? say('rain-unknown') : formatNumber(rainMm, 1)),
        },
      ]}
    />
  );
}
