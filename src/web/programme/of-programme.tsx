import type { ComponentChildren } from 'preact';
import type { Programme } from '../../../shared/contract/programme.ts';
import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { Empty } from '../parts/empty.tsx';
import { Field } from '../parts/field.tsx';
import { Shown } from '../parts/shown.tsx';
import { query, setQuery } from '../route/address.ts';
import { say } from './say.ts';

interface OfProgrammeProps {
  readonly title: (programme: Programme) => string;
  readonly children: (programme: Programme) => ComponentChildren;
}

/** A page about one programme: the latest one, unless the address names another. */
export function OfProgramme({ title, children }: OfProgrammeProps) {
  const programmes = useLoaded('programmes', (signal) => readAll('/programmes', { signal }));
  const wanted = query.value.get('programme');
  return (
    <Shown of={programmes}>
      {(all) => {
        const latestFirst = [...all].sort((a, b) => (a.startsOn < b.startsOn ? 1 : -1));
        const programme = latestFirst.find(({ id }) => id === wanted) ?? latestFirst[0];
        if (!programme) return <Empty title={say('no-programme')} />;
        return (
          <>
            <header class="programme-head">
              <h1>{title(programme)}</h1>
              {latestFirst.length > 1 ? (
                <Field label={say('programme')}>
                  <select
                    value={programme.id}
                    onChange={(event) => setQuery({ programme: event.currentTarget.value })}
                  >
                    {latestFirst.map(({ id, code, name }) => (
                      <option key={id} value={id}>
                        {code} {name}
                      </option>
                    ))}
                  </select>
                </Field>
              ) : null}
            </header>
            {children(programme)}
          </>
        );
      }}
    </Shown>
  );
}
