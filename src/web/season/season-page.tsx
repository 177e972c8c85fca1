import { useSignal } from '@preact/signals';
import { useLoaded } from '../api/loaded.ts';
import { Empty } from '../parts/empty.tsx';
import { Shown } from '../parts/shown.tsx';
import { TankShapes } from '../parts/tank-mark.tsx';
import { useTitle } from '../parts/title.ts';
import { OfProgramme } from '../programme/of-programme.tsx';
import './season.css';
import { say } from './say.ts';
import { loadSeason } from './season-data.ts';
import { SeasonRows } from './season-rows.tsx';

/** The season: a programme's villages as rows of tanks. */
export function SeasonPage() {
  useTitle(say('season'));
  return (
    <OfProgramme title={({ name }) => name}>
      {({ id }) => (
        <>
          <TankShapes />
          <Season key={id} programmeId={id} />
        </>
      )}
    </OfProgramme>
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
