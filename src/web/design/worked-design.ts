import type { TankCheck } from '../../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import type { DrawingRecipe, DrawingTitle } from '../../../shared/drawing/tank-drawing-input.ts';
import type * as engineModule from './engine.ts';

export type Engine = typeof engineModule;

/** What the engine says of a set of dimensions: its findings, or which value it refuses and why. */
export type WorkedDesign =
  | { readonly state: 'worked'; readonly check: TankCheck }
  | {
      readonly state: 'refused';
      readonly parameter: string;
      readonly value: string;
      readonly limit: string;
    };

/** Checks a design in the browser. A design that fails a check is worked, not refused. */
export function workedDesign(engine: Engine, input: TankDesignInput): WorkedDesign {
  try {
    return { state: 'worked', check: engine.checkTank(input) };
  } catch (error) {
    if (!(error instanceof engine.EngineError)) throw error;
    const { parameter, value, limit } = error;
    return { state: 'refused', parameter, value: String(value), limit };
  }
}

export interface SheetPicture {
  readonly title: string;
  readonly address: string;
}

/** The sheets of a design as pictures, drawn in the browser. */
export function sheetPictures(
  engine: Engine,
  design: TankDesignInput,
  check: TankCheck,
  title: DrawingTitle,
  recipe: DrawingRecipe | undefined,
): SheetPicture[] {
  return engine.tankDrawing({ design, check, title, recipe }).map((sheet) => ({
    title: sheet.title,
    address: `data:image/svg+xml;charset=utf-8,${encodeURIComponent(sheet.svg)}`,
  }));
}
