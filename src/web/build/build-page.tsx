import { useSignal } from '@preact/signals';
import type { Build } from '../../../shared/contract/build.ts';
import type { BuildProgress, StageRecord } from '../../../shared/contract/stage-record.ts';
import { read, readAll } from '../api/client.ts';
import { useLoaded } from '../api/loaded.ts';
import { Shown } from '../parts/shown.tsx';
import { TankShapes } from '../parts/tank-mark.tsx';
import { useTitle } from '../parts/title.ts';
import type { PageProps } from '../route/pages.tsx';
import { Attention } from './attention.tsx';
import { Bill } from './bill.tsx';
import './build.css';
import { BuildHead } from './build-head.tsx';
import { History } from './history.tsx';
import { Inspections } from './inspections.tsx';
import { Photos } from './photos.tsx';
import { say } from './say.ts';
import { Stages } from './stages.tsx';

export interface BuildFacts {
  readonly build: Build;
  readonly progress: BuildProgress;
  readonly records: readonly StageRecord[];
}

async function load(id: string, signal: AbortSignal): Promise<BuildFacts> {
  const [build, progress, records] = await Promise.all([
    read('/builds/:id', { id, signal }),
    read('/builds/:id/progress', { id, signal }),
    readAll('/builds/:id/stage-records', { id, signal }),
  ]);
  return { build, progress, records };
}

/** One build: its tank, stages with checks, photos, bill, inspections and history. */
export function BuildPage({ params }: PageProps) {
  const id = params.id ?? '';
  const recordedCount = useSignal(0);
  const facts = useLoaded(`${id} ${recordedCount.value}`, (signal) => load(id, signal));
  return (
    <Shown of={facts}>
      {(value) => (
        <BuildSheet
          key={id}
          facts={value}
          onRecorded={() => {
            recordedCount.value += 1;
          }}
        />
      )}
    </Shown>
  );
}

interface BuildSheetProps {
  readonly facts: BuildFacts;
  readonly onRecorded: () => void;
}

function BuildSheet({ facts, onRecorded }: BuildSheetProps) {
  const { build, progress, records } = facts;
  useTitle(say('build', { code: build.code }));
  return (
    <>
      <TankShapes />
      <BuildHead build={build} />
      <Attention progress={progress} />
      <div class="beside">
        <Stages facts={facts} onRecorded={onRecorded} />
        <div class="stack">
          <Photos buildId={build.id} />
          <Inspections buildId={build.id} />
          <History records={records} progress={progress} />
        </div>
      </div>
      <Bill buildId={build.id} />
    </>
  );
}
