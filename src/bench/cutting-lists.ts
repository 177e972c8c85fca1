import type { CuttingPlanBody } from '../../shared/contract/calculation-cutting-plan.ts';

const cutList = (
  stockMm: number,
  pieces: readonly (readonly [lengthMm: number, count: number])[],
): CuttingPlanBody => ({
  stock: [{ id: 'stock', lengthMm: stockMm }],
  pieces: pieces.map(([lengthMm, count]) => ({ id: `p${lengthMm}`, lengthMm, count })),
  timeLimitS: 60,
});

/** Five lengths of strip out of culms for a village of tanks; invented. */
const FIVE = cutList(5_500, [
  [2_150, 60],
  [1_820, 48],
  [1_430, 72],
  [1_150, 40],
  [640, 90],
]);

/** Thirteen widths out of rolls of 5,600 mm, widely printed; the optimum is 73 [memory]. */
const THIRTEEN = cutList(5_600, [
  [1_380, 22],
  [1_520, 25],
  [1_560, 12],
  [1_710, 14],
  [1_820, 18],
  [1_880, 18],
  [1_930, 20],
  [2_000, 10],
  [2_050, 12],
  [2_100, 14],
  [2_140, 16],
  [2_150, 18],
  [2_200, 20],
]);

/** Falkenauer u120_00 of the OR-Library, as BPPLib.jl (MIT) gives it; the optimum is 48. */
const FIFTY_EIGHT_TEXT = `
98x3 96x2 94x1 93x2 92x1 91x2 90x1 87x1 86x1 85x2 84x5 83x2 82x2 81x1 80x3 79x2 78x4 76x1 74x2 73x4
72x1 71x1 70x3 69x3 67x1 66x1 64x1 62x2 60x2 59x1 58x3 57x4 55x3 50x1 49x3 47x1 46x2 45x2 44x2 43x4
42x5 41x3 39x2 38x3 37x1 36x3 35x1 33x3 32x2 30x3 29x1 28x1 27x2 26x1 25x2 24x1 23x2 20x1`;

const FIFTY_EIGHT = cutList(
  150,
  FIFTY_EIGHT_TEXT.trim()
    .split(/\s+/)
    .map((piece): [number, number] => {
      const [lengthMm = 0, count = 0] = piece.split('x').map(Number);
      return [lengthMm, count];
    }),
);

export const CUT_LISTS: readonly CuttingPlanBody[] = [FIVE, THIRTEEN, FIFTY_EIGHT];
