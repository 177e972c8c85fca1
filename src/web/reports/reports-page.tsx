import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { formatDate, formatInstant } from '../language/format.ts';
import { Empty } from '../parts/empty.tsx';
import { Shown } from '../parts/shown.tsx';
import { Table } from '../parts/table.tsx';
import { useTitle } from '../parts/title.ts';
import { timeZone } from '../session/session.ts';
import { say } from './say.ts';

/** The reports that the person may read; a donor sees those of the own grants. */
export function ReportsPage() {
  useTitle(say('reports'));
  const reports = useLoaded('reports', (signal) => readAll('/reports', { signal }));
  return (
    <>
      <h1>{say('reports')}</h1>
      <Shown of={reports}>
        {(all) =>
          all.length === 0 ? (
            <Empty title={say('no-reports')} />
          ) : (
            <Table
              caption={say('reports')}
              hidesCaption
              rows={all}
              keyOf={({ id }) => id}
              columns={[
                {
                  title: say('reports'),
                  isHead: true,
                  cell: ({ id, code }) => <a href={`/reports/${id}`}>{code}</a>,
                },
                {
                  title: say('covers'),
                  cell: ({ periodFrom, periodUntil }) =>
                    say('period', { from: formatDate(periodFrom), until: formatDate(periodUntil) }),
                },
                {
                  title: say('frozen'),
                  cell: ({ frozenAt }) => formatInstant(frozenAt, timeZone.value),
                },
              ]}
            />
          )
        }
      </Shown>
    </>
  );
}
