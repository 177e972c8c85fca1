/**
 * Elementary functions that give the same last digit in every JavaScript engine.
 *
 * The language leaves powers, exponentials and trigonometry of `Math` to each engine, and they
 * differ in the last digit; sums, products, quotients and square roots it fixes (IEEE 754). What is
 * made of those alone is the same in the service and in every browser.
 */

export const squared = (x: number): number => x * x;

export const cubed = (x: number): number => x * x * x;

/** x to the power 3/2, x not negative. */
export const threeHalvesPower = (x: number): number => x * Math.sqrt(x);

/** x to the power 1/4, x not negative. */
export const fourthRoot = (x: number): number => Math.sqrt(Math.sqrt(x));

/** ln 2 in two parts; the first has zeros at its end, so that whole multiples of it are exact. */
const LN_2_HIGH = 0.693_147_180_369_123_8;
const LN_2_LOW = 1.908_214_929_270_587_7e-10;

/** Terms of a series that still count where its argument is largest. */
const EXP_TERMS = 14;

/** eˣ = 2ᵏ·eʳ with k = ⌊x / ln 2⌉, so that |r| ≤ ½ ln 2, and eʳ by its power series. */
export function exponential(x: number): number {
  if (x > 709.8) return Number.POSITIVE_INFINITY;
  if (x < -745.2) return 0;
  const k = Math.round(x / (LN_2_HIGH + LN_2_LOW));
  const r = x - k * LN_2_HIGH - k * LN_2_LOW;
  let sum = 1;
  for (let n = EXP_TERMS; n >= 1; n--) sum = 1 + (r / n) * sum;
  return timesPowerOfTwo(sum, k);
}

function timesPowerOfTwo(value: number, exponent: number): number {
  let result = value;
  for (let left = Math.abs(exponent); left > 0; left--) result *= exponent > 0 ? 2 : 0.5;
  return result;
}

/** π/2 in three parts, as ln 2 above. */
const HALF_PI_HIGH = 1.570_796_326_734_125_6;
const HALF_PI_MIDDLE = 6.077_100_506_303_966e-11;
const HALF_PI_LOW = 2.022_266_248_795_950_6e-21;

interface Reduced {
  /** Quarter turns taken off, modulo 4. */
  readonly quarter: number;
  /** What is left, at most π/4 either way. */
  readonly rest: number;
}

function reduced(angleRad: number): Reduced {
  const turns = Math.round(angleRad / (HALF_PI_HIGH + HALF_PI_MIDDLE));
  const rest = angleRad - turns * HALF_PI_HIGH - turns * HALF_PI_MIDDLE - turns * HALF_PI_LOW;
  return { quarter: ((turns % 4) + 4) % 4, rest };
}

/** sin r = r·(1 − r²/2·3·(1 − r²/4·5·(…))) */
function sineSeries(r: number): number {
  let sum = 1;
  for (let n = 18; n >= 2; n -= 2) sum = 1 - ((r * r) / (n * (n + 1))) * sum;
  return r * sum;
}

/** cos r = 1 − r²/1·2·(1 − r²/3·4·(…)) */
function cosineSeries(r: number): number {
  let sum = 1;
  for (let n = 19; n >= 1; n -= 2) sum = 1 - ((r * r) / (n * (n + 1))) * sum;
  return sum;
}

/** Cosine of an angle of at most some thousand turns, by its power series. */
export function cosine(angleRad: number): number {
  const { quarter, rest } = reduced(angleRad);
  const size = quarter % 2 === 0 ? cosineSeries(rest) : sineSeries(rest);
  return quarter === 1 || quarter === 2 ? -size : size;
}

/** Sine of an angle of at most some thousand turns, by its power series. */
export function sine(angleRad: number): number {
  const { quarter, rest } = reduced(angleRad);
  const size = quarter % 2 === 0 ? sineSeries(rest) : cosineSeries(rest);
  return quarter >= 2 ? -size : size;
}

/** Below this 1 would swallow digits of the exponential. */
const SMALL_TANH = 0.35;

/** eˣ − 1 by its power series, for |x| ≤ 0.7. */
function exponentialLessOne(x: number): number {
  let sum = 1;
  for (let n = 18; n >= 2; n--) sum = 1 + (x / n) * sum;
  return x * sum;
}

/** tanh x = 1 − 2 / (e²ˣ + 1), for small x (e²ˣ − 1) / (e²ˣ + 1). */
export function hyperbolicTangent(x: number): number {
  if (Math.abs(x) > SMALL_TANH) return 1 - 2 / (exponential(2 * x) + 1);
  const grown = exponentialLessOne(2 * x);
  return grown / (grown + 2);
}

/** arctan t by its power series, |t| ≤ tan π/16. */
function arctanSeries(t: number): number {
  const y = t * t;
  let sum = 0;
  for (let n = 23; n >= 1; n -= 2) sum = 1 / n - y * sum;
  return t * sum;
}

/** arctan t = 2·arctan(t / (1 + √(1 + t²))), used twice. */
function arctan(t: number): number {
  const half = t / (1 + Math.sqrt(1 + t * t));
  return 4 * arctanSeries(half / (1 + Math.sqrt(1 + half * half)));
}

/** The angle whose tangent is opposite / adjacent, with `opposite` not negative: from 0 to π. */
export function angleOf(opposite: number, adjacent: number): number {
  if (opposite === 0 && adjacent === 0) return 0;
  if (Math.abs(adjacent) < opposite) {
    return HALF_PI_HIGH - arctan(adjacent / opposite) + HALF_PI_MIDDLE;
  }
  const acute = arctan(opposite / adjacent);
  return adjacent > 0 ? acute : 2 * HALF_PI_HIGH + acute + 2 * HALF_PI_MIDDLE;
}

/** √(a² + b²), for sizes whose squares are finite. */
export const hypotenuse = (a: number, b: number): number => Math.sqrt(a * a + b * b);
