import { useSignal } from '@preact/signals';
import type { Site } from '../../../shared/contract/site.ts';
import { formatDate, formatLitres, formatNumber, formatPercent } from '../language/format.ts';
import { plain } from '../language/plain.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { Table } from '../parts/table.tsx';
import { query, setQuery } from '../route/address.ts';
import { say } from './say.ts';
import type { SitesData } from './sites-page.tsx';

/** Rows that show at once; thousands of rows are looked through by filter, not by scrolling. */
const PAGE_COUNT = 100;

const OUTCOMES = ['chosen', 'refused', 'unsized'] as const;
type SizingOutcome = (typeof OUTCOMES)[number];

/** The sites as a table, narrowed by village, code and how the sizing came out. */
export function SitesTable({ data }: { readonly data: SitesData }) {
  const { sites, sizingBySiteId, villageById } = data;
  const pageCount = useSignal(1);
  const search = query.value;
  const filter = {
    villageId: search.get('village') ?? '',
    outcome: search.get('outcome') ?? '',
    text: plain(search.get('text') ?? ''),
  };
  const outcomeOf = ({ id }: Site): SizingOutcome => {
    const sizing = sizingBySiteId.get(id);
    if (!sizing) return 'unsized';
    return sizing.refusal === null ? 'chosen' : 'refused';
  };
  const matching = sites.filter(
    (site) =>
      (filter.villageId === '' || site.villageId === filter.villageId) &&
      (filter.outcome === '' || outcomeOf(site) === filter.outcome) &&
      plain(site.code).includes(filter.text),
  );
  const shown = matching.slice(0, pageCount.value * PAGE_COUNT);
  const villages = [...villageById.values()].sort((a, b) => a.name.localeCompare(b.name));
  return (
    <>
      <search class="filters no-print">
        <Choice
          label={say('village')}
          any={say('any')}
          value={filter.villageId}
          choices={villages.map(({ id, name }) => [id, name])}
          onChoose={(village) => setQuery({ village })}
        />
        <Choice
          label={say('outcome')}
          any={say('any')}
          value={filter.outcome}
          choices={OUTCOMES.map((outcome) => [outcome, say(outcome)])}
          onChoose={(outcome) => setQuery({ outcome })}
        />
        <Field label={say('text')}>
          <input
            type="search"
            value={search.get('text') ?? ''}
            onInput={(event) => setQuery({ text: event.currentTarget.value })}
          />
        </Field>
      </search>
      <p class="soft" role="status">
        {say('shown', { count: matching.length, all: sites.length })}
      </p>
      <Table
        caption={say('sites')}
        hidesCaption
        rows={shown}
        keyOf={({ id }) => id}
        columns={[
          {
            title: say('text'),
            isHead: true,
            cell: ({ id, code }) => <a href={`/sites/${id}`}>{code}</a>,
          },
          {
            title: say('village'),
            cell: ({ villageId }) => villageById.get(villageId)?.name ?? '',
          },
          { title: say('kind'), cell: ({ kind }) => say(`kind-${kind}`) },
          {
            title: say('roof'),
            isNumber: true,
            cell: ({ roofAreaM2 }) => `${formatNumber(roofAreaM2, 1)}\u00a0m²`,
          },
          {
            title: say('people'),
            isNumber: true,
            cell: ({ peopleServed }) => formatNumber(peopleServed),
          },
          {
            title: say('agreed'),
            cell: ({ agreedOn }) =>
              agreedOn ? formatDate(agreedOn) : <span class="soft">{say('not-agreed')}</span>,
          },
          {
            title: say('tank'),
            cell: (site) => <ChosenTank site={site} data={data} />,
          },
        ]}
      />
      {matching.length > shown.length ? (
        <Button
          onClick={() => {
            pageCount.value += 1;
          }}
        >
          {say('more')}
        </Button>
      ) : null}
    </>
  );
}

function ChosenTank({ site, data }: { readonly site: Site; readonly data: SitesData }) {
  const sizing = data.sizingBySiteId.get(site.id);
  if (!sizing) return <span class="soft">{say('unsized')}</span>;
  if (sizing.refusal !== null) {
    return (
      <span class="state" data-tone="caution">
        {say(`refusal-${sizing.refusal}`)}
      </span>
    );
  }
  return (
    <>
      <strong>{sizing.designCode}</strong> {formatLitres(sizing.capacityL ?? 0)},{' '}
      {formatPercent(sizing.volumetricReliabilityRatio ?? 0)}
    </>
  );
}
