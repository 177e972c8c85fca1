import type { TankCheck } from '../design/check-tank.ts';
import type { TankDesignInput } from '../design/tank-design-input.ts';
import type { TakeoffRecipe } from '../takeoff/recipe.ts';
import type { Fitting } from './fittings.ts';

/** What the title block says of the design; any text, shown as text. */
export interface DrawingTitle {
  readonly designCode: string;
  readonly designName: string;
  readonly revision: string;
  /** Where the engineer's decision stands, in words; null while there is none. */
  readonly approval: string | null;
  readonly engineVersion: string;
}

/** Laps, tails and make-up of the wall, for cut lengths and the place of the bands. */
export type DrawingRecipe = Pick<
  TakeoffRecipe,
  'bamboo' | 'bands' | 'boardThicknessM' | 'insideMortarShareRatio'
>;

export interface TankDrawingInput {
  readonly design: TankDesignInput;
  /** What `checkTank` found for this design; every load and stress on the sheets comes from it. */
  readonly check: TankCheck;
  readonly title: DrawingTitle;
  /** The recipe of the tank with a bamboo wall, steel bands and mortar unless given. */
  readonly recipe?: DrawingRecipe | undefined;
  /** Proposed by common practice unless given. */
  readonly fittings?: readonly Fitting[] | undefined;
  /** Sentences to print beside the drawn views. */
  readonly remarks?: readonly string[] | undefined;
}
