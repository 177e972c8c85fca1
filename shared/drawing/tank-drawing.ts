import { completeTankDesign } from '../design/tank-design-input.ts';
import { BAMBOO_BAND_MORTAR_RECIPE } from '../takeoff/bamboo-band-mortar-recipe.ts';
import { domeGridSheets } from './dome-grid-sheet.ts';
import { proposedFittings, requireFittings } from './fittings.ts';
import { notesSheets } from './notes-sheets.ts';
import { planSheet } from './plan-sheet.ts';
import { sectionSheets } from './section-sheet.ts';
import { drawSheet } from './sheet-frame.ts';
import type { TankDrawingInput } from './tank-drawing-input.ts';

export interface DrawnSheet {
  readonly title: string;
  /** A whole SVG file: A4 landscape, in millimetres, black on white. */
  readonly svg: string;
}

/**
 * Draws one tank on A4 sheets, one for each trade: section with bands, plan with fittings, dome grid
 * with cut list, then cautions and reasons for review; further sheets for tables too long for theirs.
 *
 * Every load, stress and length on a sheet is the engine's, rounded as printed: lengths to 1 mm,
 * loads to 0.01 kN, stresses to 0.1 MPa, utilisations to 0.001. What passes and what does not is
 * told by words and by filled and open marks, never by colour. Names are shown as text.
 *
 * @param input design and its `checkTank` result; title, recipe, fittings and remarks besides
 * @returns sheets in order; at least four
 * @throws {EngineError} when the design is refused by the checks, or a fitting lies off the tank
 * @source iso-5457 sheet; iso-3098 lettering; iso-5455 scales; iso-128 lines
 */
export function tankDrawing(input: TankDrawingInput): DrawnSheet[] {
  const { check, title, recipe = BAMBOO_BAND_MORTAR_RECIPE, remarks = [] } = input;
  const design = completeTankDesign(input.design);
  const fittings = input.fittings ?? proposedFittings(design);
  requireFittings(fittings, design);
  const views = [
    ...sectionSheets(design, check, recipe),
    planSheet(design, fittings, input.fittings === undefined),
    ...domeGridSheets(design, check, recipe),
    ...notesSheets(check, remarks),
  ];
  return views.map((view, index) => ({
    title: view.title,
    svg: drawSheet(view, title, check, { number: index + 1, count: views.length }),
  }));
}
