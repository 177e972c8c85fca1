import type { SourceId } from '../sources.ts';

export const ROOF_KINDS = ['metal-sheet', 'tile', 'asbestos-cement', 'thatch'] as const;

export type RoofKind = (typeof ROOF_KINDS)[number];

export interface RoofKindFacts {
  readonly title: string;
  /** Default annual runoff coefficient. Ours, within or below the range the source prints. */
  readonly runoffCoefficient: number;
  /** Range printed by the source; `high` is null where it prints only "more than". */
  readonly printedRange: { readonly low: number; readonly high: number | null };
  readonly source: SourceId;
  /** Shown wherever the roof is chosen; null when there is nothing to warn of. */
  readonly caution: string | null;
}

/**
 * Default runoff coefficients by kind of roof. One minus the coefficient is an annual average loss
 * of the roof alone; poor gutters lose more than the roof does and are entered apart.
 *
 * @source warwick-dtu-catchments Table 1
 */
export const ROOF_KIND_FACTS: Readonly<Record<RoofKind, RoofKindFacts>> = {
  'metal-sheet': {
    title: 'Galvanised or corrugated metal sheet',
    runoffCoefficient: 0.85,
    printedRange: { low: 0.9, high: null },
    source: 'warwick-dtu-catchments',
    caution: null,
  },
  tile: {
    title: 'Cement or clay tile',
    runoffCoefficient: 0.75,
    printedRange: { low: 0.6, high: 0.9 },
    source: 'warwick-dtu-catchments',
    caution: 'Hand-made clay tile can shed far less than half of the rain; measure it if you can.',
  },
  'asbestos-cement': {
    title: 'Asbestos-cement sheet',
    runoffCoefficient: 0.8,
    printedRange: { low: 0.8, high: 0.9 },
    source: 'warwick-dtu-catchments',
    caution:
      'Never cut, drill, scrub or break asbestos-cement. Follow the national asbestos rules, and ask the health authority before water from this roof is drunk.',
  },
  thatch: {
    title: 'Thatch or palm',
    runoffCoefficient: 0.2,
    printedRange: { low: 0.2, high: 0.2 },
    source: 'warwick-dtu-catchments',
    caution: 'Sheds little water, and of poor quality: not for drinking without treatment.',
  },
};
