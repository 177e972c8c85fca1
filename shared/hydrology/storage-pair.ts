import { STORAGE_TIE_L } from './storage-run.ts';

/**
 * Places in the number array through which two tanks, A and B, enter and leave an inner loop.
 * Values are read from it and written to it one by one: an array literal or a plain parameter makes
 * the compiler box them, at half as much time again.
 */
export const PAIR_SLOT = {
  capacity: 0,
  volume: 2,
  shortfall: 4,
  overflow: 6,
  deficitDays: 8,
  zeroDays: 10,
  longestRun: 12,
} as const;

export const PAIR_SLOTS = 14;

/**
 * Carries two tanks through a record under yield after spillage. Two at a time because one alone
 * waits on its own last addition; more than two run short of registers.
 *
 * With u = V₋₁ − D: if u ≥ 0 then V = min(u + Q, S − D), else V = min(Q, S − V₋₁), short by −u.
 */
export function runPairAfterSpillage(q: Float64Array, d: Float64Array, pair: Float64Array): void {
  const sizeA = pair[0] as number;
  const sizeB = pair[1] as number;
  let a = pair[2] as number;
  let b = pair[3] as number;
  let shortA = 0;
  let shortB = 0;
  let spillA = 0;
  let spillB = 0;
  let daysA = 0;
  let daysB = 0;
  let zeroA = 0;
  let zeroB = 0;
  let longestA = 0;
  let longestB = 0;
  let beganA = 0;
  let beganB = 0;
  let lastA = -2;
  let lastB = -2;
  const dayCount = q.length;
  for (let day = 0; day < dayCount; day += 1) {
    const inflow = q[day] as number;
    const demand = d[day] as number;
    const restA = a - demand;
    if (restA < 0) {
      shortA -= restA;
      if (restA < -STORAGE_TIE_L) {
        daysA += 1;
        if (lastA !== day - 1) beganA = day;
        lastA = day;
        if (day - beganA >= longestA) longestA = day - beganA + 1;
        if (a <= STORAGE_TIE_L) zeroA += 1;
      }
      const room = sizeA - a;
      a = inflow;
      if (inflow > room) {
        spillA += inflow - room;
        a = room;
      }
    } else {
      const room = sizeA - demand;
      a = restA + inflow;
      if (a > room) {
        spillA += a - room;
        a = room;
      }
    }
    const restB = b - demand;
    if (restB < 0) {
      shortB -= restB;
      if (restB < -STORAGE_TIE_L) {
        daysB += 1;
        if (lastB !== day - 1) beganB = day;
        lastB = day;
        if (day - beganB >= longestB) longestB = day - beganB + 1;
        if (b <= STORAGE_TIE_L) zeroB += 1;
      }
      const room = sizeB - b;
      b = inflow;
      if (inflow > room) {
        spillB += inflow - room;
        b = room;
      }
    } else {
      const room = sizeB - demand;
      b = restB + inflow;
      if (b > room) {
        spillB += b - room;
        b = room;
      }
    }
  }
  pair[2] = a;
  pair[3] = b;
  pair[4] = shortA;
  pair[5] = shortB;
  pair[6] = spillA;
  pair[7] = spillB;
  pair[8] = daysA;
  pair[9] = daysB;
  pair[10] = zeroA;
  pair[11] = zeroB;
  pair[12] = longestA;
  pair[13] = longestB;
}

/**
 * Carries two tanks through a record under yield before spillage.
 *
 * With x = V₋₁ + Q − D: V = min(max(x, 0), S), short by −x, spilling x − S.
 */
export function runPairBeforeSpillage(q: Float64Array, d: Float64Array, pair: Float64Array): void {
  const sizeA = pair[0] as number;
  const sizeB = pair[1] as number;
  let a = pair[2] as number;
  let b = pair[3] as number;
  let shortA = 0;
  let shortB = 0;
  let spillA = 0;
  let spillB = 0;
  let daysA = 0;
  let daysB = 0;
  let zeroA = 0;
  let zeroB = 0;
  let longestA = 0;
  let longestB = 0;
  let beganA = 0;
  let beganB = 0;
  let lastA = -2;
  let lastB = -2;
  const dayCount = q.length;
  for (let day = 0; day < dayCount; day += 1) {
    const inflow = q[day] as number;
    const net = inflow - (d[day] as number);
    const nextA = a + net;
    if (nextA < 0) {
      shortA -= nextA;
      if (nextA < -STORAGE_TIE_L) {
        daysA += 1;
        if (lastA !== day - 1) beganA = day;
        lastA = day;
        if (day - beganA >= longestA) longestA = day - beganA + 1;
        if (a + inflow <= STORAGE_TIE_L) zeroA += 1;
      }
      a = 0;
    } else if (nextA > sizeA) {
      spillA += nextA - sizeA;
      a = sizeA;
    } else a = nextA;
    const nextB = b + net;
    if (nextB < 0) {
      shortB -= nextB;
      if (nextB < -STORAGE_TIE_L) {
        daysB += 1;
        if (lastB !== day - 1) beganB = day;
        lastB = day;
        if (day - beganB >= longestB) longestB = day - beganB + 1;
        if (b + inflow <= STORAGE_TIE_L) zeroB += 1;
      }
      b = 0;
    } else if (nextB > sizeB) {
      spillB += nextB - sizeB;
      b = sizeB;
    } else b = nextB;
  }
  pair[2] = a;
  pair[3] = b;
  pair[4] = shortA;
  pair[5] = shortB;
  pair[6] = spillA;
  pair[7] = spillB;
  pair[8] = daysA;
  pair[9] = daysB;
  pair[10] = zeroA;
  pair[11] = zeroB;
  pair[12] = longestA;
  pair[13] = longestB;
}
