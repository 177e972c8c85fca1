import { EngineError, requireFinite, requirePositive, requireWithin } from '../errors.ts';
import { cosine, exponential, fourthRoot, sine, squared } from '../units/same-everywhere.ts';

/** How the foot of the wall is held. */
export type WallBase = 'fixed' | 'hinged' | 'free';

/** Triangular: water. Rectangular: an even pressure, as of a gas. */
export type WallLoad = 'triangular' | 'rectangular';

/** Dimensionless solution of a wall; only βH, the base and the shape of the load enter. */
export interface WallCoefficients {
  readonly decayLengths: number;
  readonly base: WallBase;
  readonly load: WallLoad;
  /** Factors of e^(−s)·cos s and e^(−s)·sin s measured from the top. */
  readonly topCosine: number;
  readonly topSine: number;
  /** Factors of the same pair measured upward from the base. */
  readonly baseCosine: number;
  readonly baseSine: number;
}

export interface WallCoefficientsAt {
  /** N / (γHR), or N / (pR) for a rectangular load. */
  readonly hoop: number;
  /** M / (γH³), or M / (pH²); positive is tension on the outer face. */
  readonly moment: number;
  /** V / (γH²), or V / (pH); positive at the base is the inward hold of the slab on the wall. */
  readonly shear: number;
}

/** Below this βH the four functions are nearly dependent and digits are lost. Ours. */
export const MIN_DECAY_LENGTHS = 0.3;

/** Above this βH the wall is thinner than any that can be built. Ours. */
export const MAX_DECAY_LENGTHS = 200;

/**
 * Slenderness of a tank wall as the published tables use it.
 *
 *   K = H² / (D · t)
 *
 * @param waterDepthM H, @param insideDiameterM D, @param wallThicknessM t
 * @throws {EngineError} when a length is not finite or not above 0
 * @source is-3370-4
 */
export function wallSlenderness(
  waterDepthM: number,
  insideDiameterM: number,
  wallThicknessM: number,
): number {
  requirePositive({ waterDepthM, insideDiameterM, wallThicknessM });
  return squared(waterDepthM) / (insideDiameterM * wallThicknessM);
}

/**
 * Height of the wall in decay lengths of its edge disturbance.
 *
 *   βH = [12(1 − ν²)]^¼ · √K
 *
 * @param slenderness K, @param poissonRatio ν
 * @throws {EngineError} `out-of-range` when K is not above 0 or ν lies outside [0, 0.5)
 * @source timoshenko-1959 article 114
 */
export function wallDecayLengths(slenderness: number, poissonRatio: number): number {
  requirePositive({ slenderness });
  requireFinite({ poissonRatio });
  if (poissonRatio < 0 || poissonRatio >= 0.5) {
    throw new EngineError(
      'out-of-range',
      'poissonRatio',
      poissonRatio,
      'must be at least 0 and below 0.5',
    );
  }
  return fourthRoot(12 * (1 - squared(poissonRatio))) * Math.sqrt(slenderness);
}

const decayCosine = (s: number): number => exponential(-s) * cosine(s);
const decaySine = (s: number): number => exponential(-s) * sine(s);

/**
 * Exact dimensionless solution of a cylindrical wall with a free top.
 *
 *   n(ξ) = n_p(ξ) + A·f₁(λξ) + B·f₂(λξ) + C·f₁(λ(1−ξ)) + D·f₂(λ(1−ξ))
 *   f₁ = e^(−s) cos s,  f₂ = e^(−s) sin s,  n_p = ξ (triangular) or 1 (rectangular)
 *   top n″ = n‴ = 0;  fixed n = n′ = 0;  hinged n = n″ = 0;  free-sliding A = B = C = D = 0
 *
 * The two top conditions give A and B from C and D; the two base conditions are then solved by
 * determinants, so that nothing overflows however tall the wall.
 *
 * @param decayLengths λ = βH
 * @throws {EngineError} `out-of-range` when λ lies outside the range in which the solution is exact
 * @source timoshenko-1959 articles 114 to 117
 */
export function wallCoefficients(
  decayLengths: number,
  base: WallBase,
  load: WallLoad = 'triangular',
): WallCoefficients {
  requireWithin('decayLengths', decayLengths, MIN_DECAY_LENGTHS, MAX_DECAY_LENGTHS);
  if (base === 'free') {
    return { decayLengths, base, load, topCosine: 0, topSine: 0, baseCosine: 0, baseSine: 0 };
  }
  const f1 = decayCosine(decayLengths);
  const f2 = decaySine(decayLengths);
  const slope = load === 'triangular' ? 1 / decayLengths : 0;
  const a11 = 1 + f1 * f1 - 2 * f1 * f2 + f2 * f2;
  const a12 = 2 * f1 * f1;
  const fixed = base === 'fixed';
  const a21 = fixed ? 1 - f1 * f1 + 2 * f1 * f2 + f2 * f2 : -2 * f2 * f2;
  const a22 = fixed
    ? -(1 + 3 * f1 * f1 + 2 * f1 * f2 + f2 * f2)
    : f1 * f1 + 2 * f1 * f2 + f2 * f2 - 1;
  const b1 = -1;
  const b2 = fixed ? -slope : 0;
  const determinant = a11 * a22 - a12 * a21;
  const baseCosine = (b1 * a22 - a12 * b2) / determinant;
  const baseSine = (a11 * b2 - a21 * b1) / determinant;
  return {
    decayLengths,
    base,
    load,
    topCosine: (f1 - 2 * f2) * baseCosine + (2 * f1 + f2) * baseSine,
    topSine: f2 * baseCosine - f1 * baseSine,
    baseCosine,
    baseSine,
  };
}

/**
 * Hoop, moment and shear coefficients at one level of a solved wall.
 *
 *   moment = −n″ / 4λ⁴,   shear = n‴ / 4λ⁴
 *
 * @param depthRatio ξ = z/H, 0 at the surface and 1 at the floor
 * @throws {EngineError} `out-of-range` when ξ lies outside [0, 1]
 * @source timoshenko-1959 articles 114 to 117
 */
export function wallCoefficientsAt(
  solution: WallCoefficients,
  depthRatio: number,
): WallCoefficientsAt {
  // called some hundred times a wall, so the checks proper run only when they will throw
  if (!(depthRatio >= 0 && depthRatio <= 1)) requireWithin('depthRatio', depthRatio, 0, 1);
  const { decayLengths: lambda, topCosine, topSine, baseCosine, baseSine } = solution;
  const particular = solution.load === 'triangular' ? depthRatio : 1;
  const t1 = decayCosine(lambda * depthRatio);
  const t2 = decaySine(lambda * depthRatio);
  const b1 = decayCosine(lambda * (1 - depthRatio));
  const b2 = decaySine(lambda * (1 - depthRatio));
  const second = 2 * (topCosine * t2 - topSine * t1 + baseCosine * b2 - baseSine * b1);
  const third =
    2 *
    (topCosine * (t1 - t2) + topSine * (t1 + t2) - baseCosine * (b1 - b2) - baseSine * (b1 + b2));
  return {
    hoop: particular + topCosine * t1 + topSine * t2 + baseCosine * b1 + baseSine * b2,
    moment: -second / (4 * squared(lambda)),
    shear: third / (4 * lambda),
  };
}
