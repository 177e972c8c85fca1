import type { TankCheck } from '../../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import type { DrawingRecipe } from '../../../shared/drawing/tank-drawing-input.ts';
import { Table } from '../parts/table.tsx';
import { Exact } from './bands-table.tsx';
import { type Cut, cutsOf } from './cuts.ts';
import { formatReading } from './reading.ts';
import { say } from './say.ts';
import type { Engine } from './worked-design.ts';

interface CutListProps {
  readonly engine: Engine;
  readonly input: TankDesignInput;
  readonly check: TankCheck;
  readonly recipe: DrawingRecipe;
}

const pieceName = (cut: Cut) =>
  cut.kind === 'strip'
    ? say('cut-strip', { offset: formatReading(cut.offsetM, 'm') })
    : say(cut.kind === 'band' ? 'cut-bands' : 'cut-springing');

/** Bands and roof strips to cut, with their laps and tails. */
export function CutList({ engine, input, check, recipe }: CutListProps) {
  return (
    <section class="stack">
      <h2>{say('cut-list')}</h2>
      <Table
        caption={say('cut-list')}
        hidesCaption
        rows={cutsOf(engine, input, check, recipe)}
        keyOf={(cut) => `${cut.kind} ${cut.offsetM}`}
        columns={[
          { title: say('piece'), isHead: true, cell: pieceName },
          { title: say('count'), isNumber: true, cell: ({ count }) => count },
          {
            title: say('length-lower'),
            isNumber: true,
            cell: ({ lengthM }) => <Exact value={lengthM} unit="m" />,
          },
          {
            title: say('length-upper'),
            isNumber: true,
            cell: ({ upperLengthM }) =>
              upperLengthM === null ? '–' : <Exact value={upperLengthM} unit="m" />,
          },
        ]}
      />
    </section>
  );
}
