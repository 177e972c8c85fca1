import { EngineError, requirePositive } from '../errors.ts';
import type { SourceId } from '../sources.ts';
import { EUROPEAN_FILLING_RATIO, roofAreaForPipeM2, verticalPipeFlowLPerS } from './rain-pipe.ts';

/** Inside diameters of pipe commonly sold. */
export const RAIN_PIPE_BORES_MM = [50, 75, 100, 110, 150] as const;

/** Rating of vertical leaders 7/24 full: nominal bore and flow in US gallons a minute. */
export const PLUMBING_CODE_LEADERS = [
  { nominalIn: 2, flowGpm: 23, areaFt2At4InPerH: 545 },
  { nominalIn: 3, flowGpm: 67, areaFt2At4InPerH: 1607 },
  { nominalIn: 4, flowGpm: 144, areaFt2At4InPerH: 3460 },
  { nominalIn: 5, flowGpm: 261, areaFt2At4InPerH: 6273 },
  { nominalIn: 6, flowGpm: 424, areaFt2At4InPerH: 10_201 },
] as const;

const L_PER_S_PER_GPM = 3.785411784 / 60;
const MM_PER_IN = 25.4;
/** A metric pipe sold under an inch name may be this much smaller than the name. */
const NOMINAL_BORE_SLACK = 0.98;

/**
 * Rated flow of the largest plumbing-code leader that is no larger than a pipe.
 *
 * @param boreMm inside diameter; a 50 mm pipe counts as 2 in
 * @returns flow [L/s], or null below the smallest leader of the table
 * @throws {EngineError} when the bore is not above 0
 * @source nspc-2006 table 13.6.1
 */
export function plumbingCodeFlowLPerS(boreMm: number): number | null {
  requirePositive({ boreMm });
  const fitting = PLUMBING_CODE_LEADERS.filter(
    (leader) => leader.nominalIn * MM_PER_IN * NOMINAL_BORE_SLACK <= boreMm,
  );
  const largest = fitting[fitting.length - 1];
  return largest === undefined ? null : largest.flowGpm * L_PER_S_PER_GPM;
}

export interface PipeRoofArea {
  readonly source: SourceId;
  readonly roofAreaM2: number;
}

/**
 * Roof area that a vertical pipe may serve by each of three sources, the most cautious first.
 *
 * Indian building code by its formula, European equation at a third full, American plumbing code by
 * its table. The whole rain is taken to run off.
 *
 * @param boreMm inside diameter, @param rainMmPerH intensity
 * @returns areas in plan [m²] in rising order; the American table is left out below 2 in
 * @throws {EngineError} when a value is not above 0
 * @source nbc-india-9; en-12056-3; nspc-2006
 */
export function pipeRoofAreas(boreMm: number, rainMmPerH: number): PipeRoofArea[] {
  requirePositive({ boreMm, rainMmPerH });
  const areaOf = (flowLPerS: number): number => (flowLPerS * 3600) / rainMmPerH;
  const american = plumbingCodeFlowLPerS(boreMm);
  const areas: PipeRoofArea[] = [
    { source: 'nbc-india-9', roofAreaM2: roofAreaForPipeM2(boreMm, rainMmPerH) },
    {
      source: 'en-12056-3',
      roofAreaM2: areaOf(verticalPipeFlowLPerS(boreMm, EUROPEAN_FILLING_RATIO)),
    },
  ];
  if (american !== null) areas.push({ source: 'nspc-2006', roofAreaM2: areaOf(american) });
  return areas.sort((a, b) => a.roofAreaM2 - b.roofAreaM2);
}

export interface PipeChoice {
  readonly boreMm: number;
  readonly servedAreaM2: number;
  readonly source: SourceId;
}

/**
 * Smallest available pipe that serves a roof by the most cautious of the three sources.
 *
 * @param availableBoresMm inside diameters, in any order
 * @returns the pipe and the area it may serve, or null when none is large enough: use more pipes
 * @throws {EngineError} when a value is not above 0 or no bore is given
 * @source nbc-india-9; en-12056-3; nspc-2006
 */
export function smallestRainPipe(
  roofAreaM2: number,
  rainMmPerH: number,
  availableBoresMm: readonly number[] = RAIN_PIPE_BORES_MM,
): PipeChoice | null {
  requirePositive({ roofAreaM2, rainMmPerH });
  if (availableBoresMm.length === 0) {
    throw new EngineError('missing-data', 'availableBoresMm', '[]', 'needs at least one bore');
  }
  const bores = [...availableBoresMm].sort((a, b) => a - b);
  for (const boreMm of bores) {
    const governing = pipeRoofAreas(boreMm, rainMmPerH)[0];
    if (governing !== undefined && governing.roofAreaM2 >= roofAreaM2) {
      return { boreMm, servedAreaM2: governing.roofAreaM2, source: governing.source };
    }
  }
  return null;
}
