import type { TankCheck } from '../design/check-tank.ts';
import type { CompleteTankDesign } from '../design/tank-design-input.ts';
import { judge } from '../structure/check-result.ts';
import { printedKn, printedMm, printedMpa, printedRatio } from './printed-values.ts';
import type { TableColumn } from './table.ts';

export interface BandRow {
  readonly name: string;
  /** Middle of a wall band; 0 for the band at the springing, whose upper edge lies there. */
  readonly belowWaterM: number;
  readonly isPass: boolean;
  readonly cells: readonly string[];
}

export const BAND_COLUMNS: readonly TableColumn[] = [
  { heading: ['band'], align: 'start' },
  { heading: ['below', 'water', 'mm'], align: 'end' },
  { heading: ['above', 'floor', 'mm'], align: 'end' },
  { heading: ['load', 'kN'], align: 'end' },
  { heading: ['gross', 'stress', 'MPa'], align: 'end' },
  { heading: ['net', 'stress', 'MPa'], align: 'end' },
  { heading: ['used', 'of', 'limit'], align: 'end' },
  { heading: ['outcome'], align: 'start' },
];

function bandRow(
  name: string,
  belowWaterM: number,
  aboveFloorM: number,
  loadN: number,
  stress: TankCheck['bands'][number] | TankCheck['dome']['springingBand'],
): BandRow {
  const { outcome } = judge({
    id: 'band',
    title: name,
    demand: stress.utilisationRatio,
    capacity: 1,
    unit: 'ratio',
    source: 'project-limit',
  });
  return {
    name,
    belowWaterM,
    isPass: outcome === 'pass',
    cells: [
      name,
      printedMm(belowWaterM),
      printedMm(aboveFloorM),
      printedKn(loadN),
      printedMpa(stress.grossStressPa),
      printedMpa(stress.netStressPa),
      printedRatio(stress.utilisationRatio),
      outcome,
    ],
  };
}

/**
 * Rows of the band table from the top down: S, the band at the springing with dome, live load and
 * one person, then the wall bands 1, 2, … with the whole water load on them.
 *
 * @returns levels [mm], loads [kN], stresses [MPa], demand over capacity and its outcome
 * @source is-3370-2; is-800
 */
export function bandRows(design: CompleteTankDesign, check: TankCheck): BandRow[] {
  const { dome, bands } = check;
  return [
    bandRow('S', 0, design.waterDepthM, dome.ringTensionWithPersonN, dome.springingBand),
    ...bands.map((band, index) =>
      bandRow(String(index + 1), band.levelBelowWaterM, band.heightAboveFloorM, band.loadN, band),
    ),
  ];
}
