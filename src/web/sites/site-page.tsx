import type { Build } from '../../../shared/contract/build.ts';
import type { Programme } from '../../../shared/contract/programme.ts';
import type { Site } from '../../../shared/contract/site.ts';
import type { SiteSizing } from '../../../shared/contract/site-sizing.ts';
import type { Village } from '../../../shared/contract/village.ts';
import { read, readPage } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { formatDate, formatLitres, formatNumber } from '../language/format.ts';
import { Notice } from '../parts/notice.tsx';
import { Shown } from '../parts/shown.tsx';
import { Status } from '../parts/status.tsx';
import { useTitle } from '../parts/title.ts';
import type { PageProps } from '../route/pages.tsx';
import { say } from './say.ts';
import './sites.css';
import { Sizing } from './sizing.tsx';
import { Water } from './water.tsx';

export interface SiteFacts {
  readonly site: Site;
  readonly programme: Programme;
  readonly village: Village;
  readonly sizing: SiteSizing | undefined;
  readonly build: Build | undefined;
}

async function load(id: string, signal: AbortSignal): Promise<SiteFacts> {
  const site = await read('/sites/:id', { id, signal });
  const { programmeId } = site;
  const [programme, village, sizings, builds] = await Promise.all([
    read('/programmes/:id', { id: programmeId, signal }),
    read('/villages/:id', { id: site.villageId, signal }),
    readPage('/site-sizings', { query: { programmeId, siteId: id, limit: 1 }, signal }),
    readPage('/builds', { query: { siteId: id, limit: 1 }, signal }),
  ]);
  return { site, programme, village, sizing: sizings.items[0], build: builds.items[0] };
}

/** One site: roof and people, the tank that it gets, and what more storage would give. */
export function SitePage({ params }: PageProps) {
  const id = params.id ?? '';
  const facts = useLoaded(id, (signal) => load(id, signal));
  return <Shown of={facts}>{(value) => <SiteSheet key={id} facts={value} />}</Shown>;
}

function SiteSheet({ facts }: { readonly facts: SiteFacts }) {
  const { site, village, sizing, build } = facts;
  useTitle(say('site', { code: site.code }));
  return (
    <>
      <header class="stack">
        <p class="small">
          <a href={`/sites?programme=${site.programmeId}`}>{say('sites')}</a>
        </p>
        <h1>{say('site', { code: site.code })}</h1>
        <dl class="facts panel">
          <Fact name={say('village')} value={village.name} />
          <Fact name={say('kind')} value={say(`kind-${site.kind}`)} />
          <Fact name={say('roof')} value={`${formatNumber(site.roofAreaM2, 1)}\u00a0m²`} />
          <Fact name={say('roof-kind')} value={say(`roof-${site.roofKind}`)} />
          <Fact name={say('people')} value={formatNumber(site.peopleServed)} />
          {sizing?.demandLPerDay ? (
            <Fact name={say('demand')} value={formatLitres(sizing.demandLPerDay)} />
          ) : null}
          <Fact name={say('ground')} value={site.groundClass ?? say('ground-unknown')} />
          <Fact
            name={say('agreed')}
            value={site.agreedOn ? formatDate(site.agreedOn) : say('not-agreed')}
          />
          {build ? (
            <div>
              <dt>{say('builds')}</dt>
              <dd>
                <a href={`/builds/${build.id}`}>{build.code}</a> <Status of={build.status} />
              </dd>
            </div>
          ) : null}
        </dl>
      </header>
      <Notice kind="caution">
        <p>{say('water-caution')}</p>
        {site.roofKind === 'asbestos-cement' ? <p>{say('asbestos-caution')}</p> : null}
      </Notice>
      <Sizing facts={facts} />
      <Water facts={facts} />
    </>
  );
}

function Fact({ name, value }: { readonly name: string; readonly value: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{value}</dd>
    </div>
  );
}
