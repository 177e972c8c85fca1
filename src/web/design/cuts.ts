import type { TankCheck } from '../../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import type { DrawingRecipe } from '../../../shared/drawing/tank-drawing-input.ts';
import type { TakeoffGeometry } from '../../../shared/takeoff/takeoff-geometry.ts';
import type { Engine } from './worked-design.ts';

export interface Cut {
  readonly kind: 'band' | 'springing' | 'strip';
  /** Of a roof strip from the middle of the dome; 0 for bands. */
  readonly offsetM: number;
  /** Pieces of this length; of strips, in each layer. */
  readonly count: number;
  /** Of a strip: in the lower layer. */
  readonly lengthM: number;
  readonly upperLengthM: number | null;
}

/** What is cut for one tank, from the engine's own lengths. */
export function cutsOf(
  engine: Engine,
  input: TankDesignInput,
  check: TankCheck,
  recipe: DrawingRecipe,
): Cut[] {
  const bandM = engine.oneBandCutLengthM(
    engine.completeTankDesign(input) as TakeoffGeometry,
    recipe,
  );
  const band = { offsetM: 0, lengthM: bandM, upperLengthM: null };
  const springingCount = recipe.bands.springingBandCount;
  const strips = engine.stripCuts(engine.completeTankDesign(input), check, recipe);
  return [
    { kind: 'band', count: check.bands.length, ...band },
    ...(springingCount > 0 ? [{ kind: 'springing' as const, count: springingCount, ...band }] : []),
    ...strips.map((strip) => ({
      kind: 'strip' as const,
      offsetM: strip.offsetM,
      count: strip.numbers.length,
      lengthM: strip.lowerLayerM,
      upperLengthM: strip.upperLayerM,
    })),
  ];
}
