import type { CompleteTankDesign } from '../design/tank-design-input.ts';
import type { Fitting } from './fittings.ts';
import { FITTING_COLUMNS, fittingRows, planView } from './plan-view.ts';
import { printedMm } from './printed-values.ts';
import { type SheetView, viewHeading, WORK_AREA } from './sheet-frame.ts';
import { drawTable, tableLayout } from './table.ts';
import { textBlock } from './text-block.ts';

const MARGIN_MM = 3;
const HEADING_MM = 9;
const GAP_MM = 6;
const LEAST_COLUMN_MM = 92;

function notes(fittings: readonly Fitting[], isProposed: boolean): string[] {
  const hatch = fittings.find(({ kind }) => kind === 'hatch');
  const side = hatch?.clearSideM ?? null;
  return [
    isProposed
      ? 'Places are proposed by common practice. Turn them together on the site so that the inlet meets the downpipe of the roof.'
      : 'Places are as given with the design.',
    ...(side === null
      ? []
      : [`Hatch ${printedMm(side)} mm clear, with a lid that locks: children drown in tanks.`]),
    'Lip of the overflow at least 50 mm below the springing; lead its water at least 3 m away from the tank.',
    'Screen inlet, overflow and vents against insects. The washout is the lowest point of the floor.',
    'The bores follow from the roof and the rain; the overflow is one size larger than the inlet.',
    'A tank with one hatch is a confined space: nobody enters alone.',
  ];
}

/** The sheet of the plan with the places of the fittings, for the plumber. */
export function planSheet(
  design: CompleteTankDesign,
  fittings: readonly Fitting[],
  isProposed: boolean,
): SheetView {
  const rows = fittingRows(fittings);
  const layout = tableLayout(FITTING_COLUMNS, rows);
  const columnMm = Math.max(LEAST_COLUMN_MM, layout.widthMm);
  const left = WORK_AREA.x + WORK_AREA.width - MARGIN_MM - columnMm;
  const table = drawTable(left, WORK_AREA.y + HEADING_MM, FITTING_COLUMNS, rows, layout);
  const plan = planView(design, fittings, {
    ...WORK_AREA,
    width: left - GAP_MM - WORK_AREA.x,
  });
  const body = [
    plan.svg,
    viewHeading(left, WORK_AREA.y, 'Fittings'),
    table.svg,
    textBlock(left, table.bottom + 5, columnMm, notes(fittings, isProposed)).svg,
  ];
  return { title: 'Plan and fittings', scale: `Plan 1:${plan.scale}`, body: body.join('') };
}
