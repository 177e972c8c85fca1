import { requirePositive, requireWithin } from '../errors.ts';
import { MAX_BAND_COUNT } from '../structure/band-levels.ts';
import { type BandSection, bandLimits } from '../structure/band-stress.ts';
import { type BandLevelGrid, type BandLevelReach, LIMIT_SLACK } from './band-level-grid.ts';

export interface BandLevels {
  readonly levelsBelowWaterM: readonly number[];
  /** Utilisation within which the band checks of these levels stay. */
  readonly withinUtilisationRatio: number;
}

/** Marks in a layer: no arrangement ends at this level; the level is that of the first band. */
const UNREACHED = -2;
const FIRST = -1;

/** Kept between a band and the springing or the floor, for lugs and spanner. Ours. */
export const BAND_END_CLEARANCE_M = 0.03;

const HALVINGS = 24;
/** Utilisation beyond which an arrangement is no longer described. Ours. */
const GREATEST_DESCRIBED_RATIO = 50;

interface Limits {
  readonly stillN: number;
  readonly shakenN: number;
  readonly firstLevel: number;
  readonly lastLevel: number;
  readonly leastStep: number;
  readonly reach: BandLevelReach;
}

function limitsOf(grid: BandLevelGrid, section: BandSection, ratio: number): Limits {
  const limits = bandLimits(section);
  const within = ratio * (1 - LIMIT_SLACK);
  const widthM = section.widthMm / 1000;
  const clearM = widthM / 2 + BAND_END_CLEARANCE_M;
  let firstLevel = 0;
  while (grid.depthM(firstLevel) < clearM) firstLevel += 1;
  let lastLevel = grid.lowest;
  while (lastLevel >= 0 && grid.wall.waterDepthM - grid.depthM(lastLevel) < clearM) {
    lastLevel -= 1;
  }
  let leastStep = 1;
  while (grid.depthM(leastStep) < widthM) leastStep += 1;
  return {
    stillN: within * limits.capacityN,
    shakenN: within * limits.netAreaMm2 * 1e-6 * limits.permittedNetStressPa,
    firstLevel,
    lastLevel,
    leastStep,
    reach: grid.reachWithin(ratio),
  };
}

/** Whether a band carries the zone between two depths, both in half levels. */
function isCarried(grid: BandLevelGrid, limits: Limits, from: number, to: number): boolean {
  const { stillForceN, shakenForceN } = grid;
  return (
    (stillForceN[to] ?? 0) - (stillForceN[from] ?? 0) <= limits.stillN &&
    (shakenForceN[to] ?? 0) - (shakenForceN[from] ?? 0) <= limits.shakenN
  );
}

/** Upper end of the zone of a band, in half levels. */
const zoneTop = (previous: number, level: number): number =>
  previous === FIRST ? 0 : previous + level;

function firstLayer(grid: BandLevelGrid, limits: Limits): Int32Array {
  const layer = new Int32Array(grid.lowest + 1).fill(UNREACHED);
  const lowest = Math.min(limits.lastLevel, limits.reach.lowestFirst);
  for (let level = limits.firstLevel; level <= lowest; level += 1) layer[level] = FIRST;
  return layer;
}

function nextLayer(grid: BandLevelGrid, limits: Limits, layer: Int32Array): Int32Array {
  const next = new Int32Array(grid.lowest + 1).fill(UNREACHED);
  for (let level = limits.firstLevel; level <= limits.lastLevel; level += 1) {
    const previous = layer[level] ?? UNREACHED;
    if (previous === UNREACHED) continue;
    const top = zoneTop(previous, level);
    const lowest = Math.min(limits.lastLevel, limits.reach.lowestBelow[level] ?? 0);
    for (let below = level + limits.leastStep; below <= lowest; below += 1) {
      if (!isCarried(grid, limits, top, level + below)) break;
      // The lowest possible band above leaves the smallest zone to this one.
      if (level > (next[below] ?? UNREACHED)) next[below] = level;
    }
  }
  return next;
}

function lastBand(grid: BandLevelGrid, limits: Limits, layer: Int32Array): number | null {
  const { isNear, highestLast } = limits.reach;
  const floor = grid.stillForceN.length - 1;
  for (let level = limits.lastLevel; level >= highestLast; level -= 1) {
    const previous = layer[level] ?? UNREACHED;
    if (previous === UNREACHED) continue;
    // A single band has no neighbour: the whole wall is then its distance.
    if (previous === FIRST && !isNear(grid.wall.waterDepthM)) continue;
    if (isCarried(grid, limits, zoneTop(previous, level), floor)) return level;
  }
  return null;
}

/** Levels of the fewest bands within a utilisation, or of exactly `count` bands; null when none. */
function levelsWithin(
  grid: BandLevelGrid,
  section: BandSection,
  ratio: number,
  count?: number,
): number[] | null {
  const limits = limitsOf(grid, section, ratio);
  const layers: Int32Array[] = [];
  let layer = firstLayer(grid, limits);
  while (layer.some((previous) => previous !== UNREACHED)) {
    layers.push(layer);
    const isWanted = count === undefined || layers.length === count;
    const last = isWanted ? lastBand(grid, limits, layer) : null;
    if (last !== null) return tracedBack(grid, layers, last);
    if (layers.length >= (count ?? MAX_BAND_COUNT)) return null;
    layer = nextLayer(grid, limits, layer);
  }
  return null;
}

function tracedBack(grid: BandLevelGrid, layers: readonly Int32Array[], last: number): number[] {
  const levels: number[] = [];
  let level = last;
  for (const layer of [...layers].reverse()) {
    levels.unshift(grid.depthM(level));
    level = layer[level] ?? FIRST;
  }
  return levels;
}

/**
 * The fewest steel bands that hold a wall within a utilisation, at levels of whole centimetres.
 *
 * Loads go by the midpoint rule. Every band stays within its gross and net stress (with the
 * impulsive pressure too, when there is one), neighbours within the permitted distance without
 * overlap, and the wall between them within its bending limit; the springing above and the floor
 * below count as neighbours, as in `farthestBandDistanceM`. For every level and number of bands
 * only the lowest possible band above is kept: it leaves the smallest zone, so that nothing else
 * can do better; the count is therefore the least of all arrangements on the grid.
 *
 * @param maxUtilisationRatio above 0
 * @returns levels [m] from the surface down, or null when no count up to 60 does it
 * @throws {EngineError} when a section or ratio is out of range
 * @source own-band-level-search; tributary-load
 */
export function fewestBandLevels(
  grid: BandLevelGrid,
  section: BandSection,
  maxUtilisationRatio: number,
): number[] | null {
  requirePositive({ maxUtilisationRatio });
  return levelsWithin(grid, section, maxUtilisationRatio);
}

/**
 * Levels of a number of bands with the least greatest utilisation of all band checks.
 *
 * @param count 1 to 60
 * @returns levels [m] and the utilisation within which they stay, to about 1 in 10,000; null when
 *   the bands do not fit or even 50 times their capacity is too little
 * @throws {EngineError} when the count or the section is out of range
 * @source own-band-level-search; tributary-load
 */
export function bestBandLevels(
  grid: BandLevelGrid,
  section: BandSection,
  count: number,
): BandLevels | null {
  requireWithin('count', count, 1, MAX_BAND_COUNT);
  let high = 1;
  let levels = levelsWithin(grid, section, high, count);
  while (levels === null && high < GREATEST_DESCRIBED_RATIO) {
    high *= 1.5;
    levels = levelsWithin(grid, section, high, count);
  }
  if (levels === null) return null;
  let low = 0;
  for (let halving = 0; halving < HALVINGS && high - low > 1e-4 * high; halving += 1) {
    const middle = (low + high) / 2;
    const tried = levelsWithin(grid, section, middle, count);
    if (tried === null) low = middle;
    else {
      high = middle;
      levels = tried;
    }
  }
  return { levelsBelowWaterM: levels, withinUtilisationRatio: high };
}
