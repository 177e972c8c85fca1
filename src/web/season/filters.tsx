import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { statusName } from '../parts/status.tsx';
import { setQuery } from '../route/address.ts';
import { say } from './say.ts';
import type { SeasonData } from './season-data.ts';
import type { SeasonFilter } from './season-view.ts';
import { BUILD_STATUSES } from './statuses.ts';

interface FiltersProps {
  readonly data: SeasonData;
  readonly filter: SeasonFilter;
}

/** What the rows are narrowed to; kept in the address, so that it can be sent to a colleague. */
export function Filters({ data, filter }: FiltersProps) {
  const villages = [...new Map(data.builds.map((build) => [build.villageId, build.villageName]))];
  const crews = [...data.crewById.values()];
  const isFiltered = Object.values(filter).some((value) => value !== '');
  return (
    <search class="filters no-print">
      <Choice
        any={say('any')}
        label={say('status')}
        value={filter.status}
        choices={[
          ...BUILD_STATUSES.map((each) => [each, statusName(each)] as const),
          ['late', say('late')],
        ]}
        onChoose={(status) => setQuery({ status })}
      />
      <Choice
        any={say('any')}
        label={say('village')}
        value={filter.villageId}
        choices={villages.sort(([, a], [, b]) => a.localeCompare(b))}
        onChoose={(village) => setQuery({ village })}
      />
      {crews.length > 0 ? (
        <Choice
          any={say('any')}
          label={say('crew')}
          value={filter.crewId}
          choices={crews.map(({ id, name }) => [id, name])}
          onChoose={(crew) => setQuery({ crew })}
        />
      ) : null}
      <Field label={say('text')}>
        <input
          type="search"
          value={filter.text}
          onInput={(event) => setQuery({ text: event.currentTarget.value })}
        />
      </Field>
      {isFiltered ? (
        <Button
          kind="plain"
          onClick={() => setQuery({ status: null, village: null, crew: null, text: null })}
        >
          {say('clear')}
        </Button>
      ) : null}
    </search>
  );
}
