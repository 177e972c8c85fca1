import type { DesignRevisionSummary } from '../../../shared/contract/design-revision.ts';
import { readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { formatLitres } from '../language/format.ts';
import { Empty } from '../parts/empty.tsx';
import { Shown } from '../parts/shown.tsx';
import { useTitle } from '../parts/title.ts';
import './design.css';
import { say } from './say.ts';
import { Approval, Outcome } from './states.tsx';
import { TankOutline } from './tank-outline.tsx';

/** The tank designs, each with its revisions, drawn at one scale to one another. */
export function DesignsPage() {
  const revisions = useLoaded('designs', (signal) => readAll('/design-revisions', { signal }));
  useTitle(say('designs'));
  return (
    <>
      <h1>{say('designs')}</h1>
      <Shown of={revisions}>
        {(all) =>
          all.length === 0 ? (
            <Empty title={say('no-designs')} />
          ) : (
            <ul class="designs">
              {byDesign(all).map((group) => (
                <Design key={group[0]?.designId} revisions={group} />
              ))}
            </ul>
          )
        }
      </Shown>
    </>
  );
}

/** Revisions of each design, newest first, the designs by capacity. */
function byDesign(all: readonly DesignRevisionSummary[]): DesignRevisionSummary[][] {
  const groups = new Map<string, DesignRevisionSummary[]>();
  for (const revision of all) {
    const group = groups.get(revision.designId) ?? [];
    group.push(revision);
    groups.set(revision.designId, group);
  }
  for (const group of groups.values()) group.sort((a, b) => b.revisionNumber - a.revisionNumber);
  return [...groups.values()].sort((a, b) => (a[0]?.capacityL ?? 0) - (b[0]?.capacityL ?? 0));
}

function Design({ revisions }: { readonly revisions: readonly DesignRevisionSummary[] }) {
  const latest = revisions[0];
  if (!latest) return null;
  return (
    <li class="panel design">
      <TankOutline capacityL={latest.capacityL} />
      <div class="stack">
        <h2>
          <a href={`/designs/${latest.id}`}>{latest.designCode}</a>
        </h2>
        <p>{latest.designName}</p>
        <p>
          {say('capacity')} <strong>{formatLitres(latest.capacityL)}</strong>
        </p>
        <ul class="plain-list stack">
          {revisions.map((revision) => (
            <li key={revision.id} class="row">
              <a href={`/designs/${revision.id}`}>
                {say('revision', { number: revision.revisionNumber })}
              </a>
              <Outcome of={revision.outcome} />
              <Approval of={revision.approval} />
            </li>
          ))}
        </ul>
      </div>
    </li>
  );
}
