import { useSignal } from '@preact/signals';
import type { Site } from '../../../shared/contract/site.ts';
import type { SiteSizing } from '../../../shared/contract/site-sizing.ts';
import type { Village } from '../../../shared/contract/village.ts';
import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { nothingIfForbidden } from '../api/refusal.ts';
import { Empty } from '../parts/empty.tsx';
import { Shown } from '../parts/shown.tsx';
import { useTitle } from '../parts/title.ts';
import { OfProgramme } from '../programme/of-programme.tsx';
import { may } from '../session/session.ts';
import { say } from './say.ts';
import { SitesTable } from './sites-table.tsx';
import './sites.css';
import { SizeAll } from './size-all.tsx';

export interface SitesData {
  readonly sites: readonly Site[];
  readonly sizingBySiteId: ReadonlyMap<string, SiteSizing>;
  readonly villageById: ReadonlyMap<string, Village>;
}

async function load(programmeId: string, signal: AbortSignal): Promise<SitesData> {
  const [sites, sizings, villages] = await Promise.all([
    readAll('/sites', { query: { programmeId }, signal }),
    readAll('/site-sizings', { query: { programmeId }, signal }),
    readAll('/villages', { signal }).catch(nothingIfForbidden),
  ]);
  return {
    sites,
    sizingBySiteId: new Map(sizings.map((sizing) => [sizing.siteId, sizing])),
    villageById: new Map(villages.map((village) => [village.id, village])),
  };
}

/** The sites of a programme with the tank that each gets, or why it gets none. */
export function SitesPage() {
  useTitle(say('sites'));
  return (
    <OfProgramme title={() => say('sites')}>
      {({ id }) => <Sites key={id} programmeId={id} />}
    </OfProgramme>
  );
}

function Sites({ programmeId }: { readonly programmeId: string }) {
  const sizedCount = useSignal(0);
  const data = useLoaded(`${programmeId} ${sizedCount.value}`, (signal) =>
    load(programmeId, signal),
  );
  return (
    <>
      {may('sites:write') ? (
        <div class="row no-print">
          <a class="button" href={`/sites/import?programme=${programmeId}`}>
            {say('import')}
          </a>
          <SizeAll
            programmeId={programmeId}
            onSized={() => {
              sizedCount.value += 1;
            }}
          />
        </div>
      ) : null}
      <Shown of={data}>
        {(value) =>
          value.sites.length === 0 ? <Empty title={say('no-sites')} /> : <SitesTable data={value} />
        }
      </Shown>
    </>
  );
}
