import { checkTank } from '../../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import { type DrawnSheet, tankDrawing } from '../../../shared/drawing/tank-drawing.ts';
import type { TankDrawingInput } from '../../../shared/drawing/tank-drawing-input.ts';
import worked from '../../published/structure/worked-example-5000-l.json' with { type: 'json' };

export const TITLE = {
  designCode: 'T-1',
  designName: 'Tank of the test',
  revision: '3',
  approval: 'Undecided: no engineer has approved this revision.',
  engineVersion: '0.1.0',
};

/** The worked tank of 5,000 litres, four bands of equal load, one hole of 8.5 mm at the joint. */
export const WORKED_TANK: TankDesignInput = {
  ...worked.input,
  bands: {
    widthMm: 25,
    thicknessMm: 2,
    yieldStrengthMPa: 250,
    jointEfficiencyRatio: 33 / 50,
    spacing: 'equal-load',
    count: 4,
  },
  soilClass: 'stiff-clay',
};

export const draw = (
  design: TankDesignInput,
  others: Partial<Omit<TankDrawingInput, 'design' | 'check'>> = {},
): DrawnSheet[] => tankDrawing({ design, check: checkTank(design), title: TITLE, ...others });

/** A tank of a capacity and of a shape, with bands of equal load. */
export function tankOf(
  capacityL: number,
  depthToDiameter: number,
  bandCount: number,
): TankDesignInput {
  const insideDiameterM =
    Math.round(((4 * capacityL) / 1000 / (Math.PI * depthToDiameter)) ** (1 / 3) * 1000) / 1000;
  const wallThicknessM = Math.min(0.055, insideDiameterM / 16);
  return {
    insideDiameterM,
    waterDepthM: insideDiameterM * depthToDiameter,
    wallThicknessM,
    bands: {
      widthMm: 20,
      thicknessMm: 1.6,
      yieldStrengthMPa: 250,
      jointEfficiencyRatio: 0.65,
      spacing: 'equal-load',
      count: bandCount,
    },
    dome: {
      riseM: Math.round(insideDiameterM * 160) / 1000,
      thicknessM: 0.04,
      gridSpacingM: Math.min(0.15, insideDiameterM / 8),
    },
    slab: { diameterM: insideDiameterM + 2 * wallThicknessM + 0.3, thicknessM: 0.1 },
    soilClass: 'stiff-clay',
  };
}
