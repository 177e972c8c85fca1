import type { TankCheck } from '../../../shared/design/check-tank.ts';
import { formatPercent } from '../language/format.ts';
import { Table } from '../parts/table.tsx';
import { Exact } from './bands-table.tsx';
import { say } from './say.ts';
import { Outcome } from './states.tsx';
import { Used } from './used.tsx';
import type { Engine } from './worked-design.ts';

interface ChecksTableProps {
  readonly engine: Engine;
  readonly check: TankCheck;
}

/** Every check with its demand, limit and source, and the sources in full below. */
export function ChecksTable({ engine, check }: ChecksTableProps) {
  const cited = [...new Set(check.checks.map(({ source }) => source))];
  return (
    <section class="stack">
      <h2>{say('checks')}</h2>
      <Table
        caption={say('checks')}
        hidesCaption
        rows={check.checks}
        keyOf={({ id }) => id}
        columns={[
          {
            title: say('check'),
            isHead: true,
            cell: ({ title }) => <span lang="en">{title}</span>,
          },
          {
            title: say('demand'),
            isNumber: true,
            cell: ({ demand, unit }) => <Exact value={demand} unit={unit} />,
          },
          {
            title: say('limit'),
            isNumber: true,
            cell: ({ capacity, unit }) => <Exact value={capacity} unit={unit} />,
          },
          {
            title: say('used'),
            cell: ({ utilisationRatio }) => (
              <Used ratio={utilisationRatio}>{formatPercent(utilisationRatio, 1)}</Used>
            ),
          },
          { title: say('checks'), cell: ({ outcome }) => <Outcome of={outcome} /> },
          {
            title: say('source'),
            cell: ({ source }) => <a href={`#source-${source}`}>{source}</a>,
          },
        ]}
      />
      <details>
        <summary>{say('sources')}</summary>
        <ul>
          {cited.map((id) => {
            const { title, publisher, year, seen } = engine.SOURCES[id];
            return (
              <li key={id} id={`source-${id}`}>
                <span lang="en">
                  <strong>{id}</strong>: {title}, {publisher}
                  {year === null ? '' : `, ${year}`}
                </span>{' '}
                ({say(`seen-${seen}`)})
              </li>
            );
          })}
        </ul>
      </details>
    </section>
  );
}
