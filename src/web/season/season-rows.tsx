import { useComputed } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import { formatLitres, formatMoney } from '../language/format.ts';
import { Button } from '../parts/button.tsx';
import { Empty } from '../parts/empty.tsx';
import { query, setQuery } from '../route/address.ts';
import { today } from '../session/today.ts';
import { useBillTotals, useHeldProgress } from './beside.ts';
import { Filters } from './filters.tsx';
import { Key } from './key.tsx';
import { say } from './say.ts';
import type { SeasonData } from './season-data.ts';
import { filtered, litres, type SeasonFilter, villageRows } from './season-view.ts';
import { VillageTanks } from './village-tanks.tsx';

interface SeasonRowsProps {
  readonly programmeId: string;
  readonly data: SeasonData;
}

/** Totals, filters, and one row of tanks a village. */
export function SeasonRows({ programmeId, data }: SeasonRowsProps) {
  const { builds, villageById, stageTitleByCode } = data;
  const day = today();
  const filter = useComputed(() => filterOf(query.value)).value;
  const shown = filtered(builds, filter, day);
  const rows = villageRows(shown, villageById, day);
  const villageIds = useMemo(() => [...new Set(builds.map((build) => build.villageId))], [builds]);
  const bills = useBillTotals(programmeId, villageIds);
  const held = useMemo(() => builds.filter(({ status }) => status === 'on-hold'), [builds]);
  const progressByBuildId = useHeldProgress(held).value;
  return (
    <>
      <Totals data={data} bill={bills.value.get('')} />
      <Filters data={data} filter={filter} />
      <p class="soft" role="status">
        {say('shown', { count: shown.length, all: builds.length })}
      </p>
      {rows.length === 0 ? (
        <Empty title={say('no-match')}>
          <Button onClick={clearFilter}>{say('clear')}</Button>
        </Empty>
      ) : (
        <section class="village-rows" aria-label={say('rows-of')}>
          {rows.map((row) => (
            <VillageTanks
              key={row.villageId}
              row={row}
              bill={bills.value.get(row.villageId)}
              progressByBuildId={progressByBuildId}
              stageTitleByCode={stageTitleByCode}
            />
          ))}
        </section>
      )}
      <Key />
    </>
  );
}

const filterOf = (search: URLSearchParams): SeasonFilter => ({
  status: search.get('status') ?? '',
  villageId: search.get('village') ?? '',
  crewId: search.get('crew') ?? '',
  text: search.get('text') ?? '',
});

const clearFilter = () => setQuery({ status: null, village: null, crew: null, text: null });

interface TotalsProps {
  readonly data: SeasonData;
  readonly bill: Parameters<typeof VillageTanks>[0]['bill'];
}

function Totals({ data: { builds }, bill }: TotalsProps) {
  const counted = builds.filter(({ status }) => status !== 'cancelled');
  const handedOver = counted.filter(({ status }) => status === 'handed-over');
  const heldCount = counted.filter(({ status }) => status === 'on-hold').length;
  return (
    <dl class="facts panel">
      <div>
        <dt>{say('builds', { count: counted.length })}</dt>
        <dd>{say('handed-over', { count: handedOver.length })}</dd>
        {heldCount > 0 ? <dd>{say('held', { count: heldCount })}</dd> : null}
      </div>
      <div>
        <dt>{say('litres')}</dt>
        <dd>
          {say('litres-of', {
            part: formatLitres(litres(handedOver)),
            all: formatLitres(litres(counted)),
          })}
        </dd>
      </div>
      {bill ? (
        <>
          <div>
            <dt>{say('bill')}</dt>
            <dd>{formatMoney(bill.amount)}</dd>
          </div>
          <div>
            <dt>{say('in-kind')}</dt>
            <dd>{formatMoney(bill.inKindAmount)}</dd>
          </div>
        </>
      ) : null}
    </dl>
  );
}
