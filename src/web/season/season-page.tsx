import { useComputed, useSignal } from '@preact/signals';
import type { Programme } from '../../../shared/contract/programme.ts';
import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { Empty } from '../parts/empty.tsx';
import { Field } from '../parts/field.tsx';
import { Shown } from '../parts/shown.tsx';
import { TankShapes } from '../parts/tank-mark.tsx';
import { useTitle } from '../parts/title.ts';
import { query, setQuery } from '../route/address.ts';
import './season.css';
import { say } from './say.ts';
import { loadSeason } from './season-data.ts';
import { SeasonRows } from './season-rows.tsx';

/** The season: a programme's villages as rows of tanks. */
export function SeasonPage() {
  const programmes = useLoaded('programmes', (signal) => readAll('/programmes', { signal }));
  useTitle(say('season'));
  return (
    <Shown of={programmes}>
      {(all) =>
        all.length === 0 ? (
          <Empty title={say('no-programme')} />
        ) : (
          <ChosenProgramme programmes={latestFirst(all)} />
        )
      }
    </Shown>
  );
}

const latestFirst = (programmes: readonly Programme[]): readonly Programme[] =>
  [...programmes].sort((a, b) => (a.startsOn < b.startsOn ? 1 : -1));

function ChosenProgramme({ programmes }: { readonly programmes: readonly Programme[] }) {
  const wanted = useComputed(() => query.value.get('programme'));
  const programme = programmes.find(({ id }) => id === wanted.value) ?? programmes[0];
  if (!programme) return null;
  return (
    <>
      <TankShapes />
      <header class="season-head">
        <h1>{programme.name}</h1>
        {programmes.length > 1 ? (
          <Field label={say('programme')}>
            <select
              value={programme.id}
              onChange={(event) => setQuery({ programme: event.currentTarget.value })}
            >
              {programmes.map(({ id, code, name }) => (
                <option key={id} value={id}>
                  {code} {name}
                </option>
              ))}
            </select>
          </Field>
        ) : null}
      </header>
      <Season key={programme.id} programmeId={programme.id} />
    </>
  );
}

function Season({ programmeId }: { readonly programmeId: string }) {
  const count = useSignal(0);
  const season = useLoaded(programmeId, (signal) =>
    loadSeason(programmeId, signal, (read) => {
      count.value = read;
    }),
  );
  return (
    <Shown of={season} waiting={say('loading-builds', { count: count.value })}>
      {(data) =>
        data.builds.length === 0 ? (
          <Empty title={say('no-builds')} />
        ) : (
          <SeasonRows programmeId={programmeId} data={data} />
        )
      }
    </Shown>
  );
}
