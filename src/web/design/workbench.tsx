import { useComputed, useSignal } from '@preact/signals';
import { useRef } from 'preact/hooks';
import type { DesignRevision } from '../../../shared/contract/design-revision.ts';
import type { TankKind } from '../../../shared/contract/tank-kind.ts';
import type { TankCheck } from '../../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import type { DrawingRecipe } from '../../../shared/drawing/tank-drawing-input.ts';
import { Notice } from '../parts/notice.tsx';
import { BandsTable } from './bands-table.tsx';
import { Cautions } from './cautions.tsx';
import { ChecksTable } from './checks-table.tsx';
import { CutList } from './cut-list.tsx';
import { Dimensions } from './dimensions.tsx';
import { Figures } from './figures.tsx';
import { NewRevision } from './new-revision.tsx';
import { SameAnswer } from './same-answer.tsx';
import { say } from './say.ts';
import { Sheets } from './sheets.tsx';
import { type Engine, sheetPictures, workedDesign } from './worked-design.ts';

interface WorkbenchProps {
  readonly revision: DesignRevision;
  readonly recipe: TankKind['recipe'];
  readonly engine: Engine;
}

/** The drawing beside figures that follow the sliders; the last design that could be worked stays. */
export function Workbench({ revision, recipe, engine }: WorkbenchProps) {
  const given = revision.input as TankDesignInput;
  const input = useSignal<TankDesignInput>(given);
  const worked = useComputed(() => workedDesign(engine, input.value)).value;
  const isChanged = input.value !== given;
  const last = useRef<{ input: TankDesignInput; check: TankCheck } | undefined>(undefined);
  if (worked.state === 'worked') last.current = { input: input.value, check: worked.check };
  const shown = last.current;
  const approval =
    isChanged || revision.approval === 'undecided' ? null : say(`approval-${revision.approval}`);
  const title = {
    designCode: revision.designCode,
    designName: revision.designName,
    revision: isChanged ? `${revision.revisionNumber}*` : String(revision.revisionNumber),
    approval,
    engineVersion: engine.ENGINE_VERSION,
  };
  const pictures =
    shown && sheetPictures(engine, shown.input, shown.check, title, recipe as DrawingRecipe);
  return (
    <>
      {isChanged ? (
        <Notice kind="caution" title={say('changed')}>
          {worked.state === 'worked' ? (
            <NewRevision designId={revision.designId} input={input.value} />
          ) : null}
        </Notice>
      ) : null}
      <div class="beside">
        <div class="stack">
          {pictures ? <Sheets pictures={pictures} /> : null}
          {shown ? <BandsTable bands={shown.check.bands} /> : null}
          {shown ? <ChecksTable engine={engine} check={shown.check} /> : null}
        </div>
        <div class="stack">
          <Dimensions
            engine={engine}
            input={input.value}
            isChanged={isChanged}
            onInput={(next) => {
              input.value = next;
            }}
            onReset={() => {
              input.value = given;
            }}
          />
          {worked.state === 'refused' ? (
            <Notice kind="problem" title={say('refused')}>
              <p lang="en">{say('refused-detail', worked)}</p>
            </Notice>
          ) : (
            <SameAnswer input={input.value} check={worked.check} />
          )}
          {shown ? <Figures engine={engine} input={shown.input} check={shown.check} /> : null}
        </div>
      </div>
      {shown ? (
        <>
          <CutList
            engine={engine}
            input={shown.input}
            check={shown.check}
            recipe={recipe as DrawingRecipe}
          />
          <Cautions check={shown.check} />
        </>
      ) : null}
    </>
  );
}
