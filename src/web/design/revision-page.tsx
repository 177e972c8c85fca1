import { useSignal } from '@preact/signals';
import type { DesignRevision } from '../../../shared/contract/design-revision.ts';
import { read } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { Shown } from '../parts/shown.tsx';
import { useTitle } from '../parts/title.ts';
import type { PageProps } from '../route/pages.tsx';
import { Approvals } from './approvals.tsx';
import './design.css';
import { say } from './say.ts';
import { Approval, Outcome } from './states.tsx';
import { Workbench } from './workbench.tsx';
import type { Engine } from './worked-design.ts';

interface Loaded {
  readonly revision: DesignRevision;
  readonly recipe: Awaited<ReturnType<typeof readRecipe>>;
  readonly engine: Engine;
}

const readRecipe = async (tankKindId: string, signal: AbortSignal) =>
  (await read('/tank-kinds/:id', { id: tankKindId, signal })).recipe;

async function load(id: string, signal: AbortSignal): Promise<Loaded> {
  const engine = import('./engine.ts');
  const revision = await read('/design-revisions/:id', { id, signal });
  return { revision, recipe: await readRecipe(revision.tankKindId, signal), engine: await engine };
}

/** One revision of a design: drawing beside band loads and checks, sliders, and the approval. */
export function RevisionPage({ params }: PageProps) {
  const id = params.id ?? '';
  const decidedCount = useSignal(0);
  const loaded = useLoaded(`${id} ${decidedCount.value}`, (signal) => load(id, signal));
  return (
    <Shown of={loaded} waiting={say('loading-engine')}>
      {(value) => (
        <Revision
          key={id}
          loaded={value}
          onDecided={() => {
            decidedCount.value += 1;
          }}
        />
      )}
    </Shown>
  );
}

interface RevisionProps {
  readonly loaded: Loaded;
  readonly onDecided: () => void;
}

function Revision({ loaded: { revision, recipe, engine }, onDecided }: RevisionProps) {
  const number = say('revision', { number: revision.revisionNumber });
  useTitle(`${revision.designCode}, ${number}`);
  return (
    <>
      <header class="row" data-ends="apart">
        <div>
          <p class="small no-print">
            <a href="/designs">{say('designs')}</a>
          </p>
          <h1>
            {revision.designCode}, {number}
          </h1>
          <p>{revision.designName}</p>
        </div>
        <p class="row">
          <Outcome of={revision.outcome} />
          <Approval of={revision.approval} />
        </p>
      </header>
      <Workbench revision={revision} recipe={recipe} engine={engine} />
      <Approvals revision={revision} onDecided={onDecided} />
    </>
  );
}
