import type { ProjectInput } from '../../shared/scheduling/project-types.ts';
import { seededRandom } from '../../shared/scheduling/seeded-random.ts';

export interface MadeProject {
  readonly activities: number;
  /** Relations by activity, source and sink counted. */
  readonly networkComplexity: number;
  /** Share of the resources that an activity asks for. */
  readonly resourceFactor: number;
  /** 0: capacity of the largest request; 1: capacity of the earliest plan without limits. */
  readonly resourceStrength: number;
  readonly seed: number;
}

const RESOURCES = 4;
const LARGEST = 10;
/** Activities without predecessors, and without successors; most links of one. */
const ENDS = 3;
const MOST_LINKS = 3;

/**
 * A random project drawn by the parameters of Kolisch, Sprecher and Drexl (1995): links without
 * redundant ones up to the complexity, requests and durations from 1 to 10, capacities by strength.
 */
export function madeProject(made: MadeProject): ProjectInput {
  const random = seededRandom(made.seed);
  const upTo = (most: number) => Math.floor(random() * most);
  const n = made.activities;
  const reach = Array.from({ length: n }, () => new Uint8Array(n));
  const linked = Array.from({ length: n }, () => new Uint8Array(n));
  const before: number[][] = Array.from({ length: n }, () => []);
  const after: number[][] = Array.from({ length: n }, () => []);
  const isRedundant = (from: number, to: number): boolean => {
    if (reach[from]?.[to]) return true;
    for (let a = 0; a <= from; a += 1) {
      if (a !== from && !reach[a]?.[from]) continue;
      for (let b = to; b < n; b += 1) {
        if ((b === to || reach[to]?.[b]) && linked[a]?.[b]) return true;
      }
    }
    return false;
  };
  const link = (from: number, to: number): boolean => {
    const isFull =
      (after[from]?.length ?? 0) >= MOST_LINKS || (before[to]?.length ?? 0) >= MOST_LINKS;
    if (isFull || isRedundant(from, to)) return false;
    after[from]?.push(to);
    before[to]?.push(from);
    (linked[from] as Uint8Array)[to] = 1;
    for (let a = 0; a <= from; a += 1) {
      if (a !== from && !reach[a]?.[from]) continue;
      for (let b = to; b < n; b += 1) {
        if (b === to || reach[to]?.[b]) (reach[a] as Uint8Array)[b] = 1;
      }
    }
    return true;
  };
  for (let to = ENDS; to < n; to += 1) {
    for (let tries = 0; tries < 50; tries += 1) if (link(upTo(Math.min(to, n - ENDS)), to)) break;
  }
  for (let from = n - ENDS - 1; from >= 0; from -= 1) {
    if ((after[from]?.length ?? 0) > 0) continue;
    const least = Math.max(from + 1, ENDS);
    for (let tries = 0; tries < 50; tries += 1) if (link(from, least + upTo(n - least))) break;
  }
  const ends = 2 * ENDS;
  let links = before.reduce((sum, list) => sum + list.length, 0) + ends;
  for (let tries = 0; tries < 20_000 && links < made.networkComplexity * (n + 2); tries += 1) {
    const to = ENDS + upTo(n - ENDS);
    if (link(upTo(Math.min(to, n - ENDS)), to)) links += 1;
  }
  const duration = Array.from({ length: n }, () => 1 + upTo(LARGEST));
  const requests = Array.from({ length: n }, () => new Array<number>(RESOURCES).fill(0));
  const cells = Array.from({ length: n * RESOURCES }, (_, cell) => cell);
  for (const [activity, row] of requests.entries()) {
    const resource = upTo(RESOURCES);
    row[resource] = 1 + upTo(LARGEST);
    cells.splice(cells.indexOf(activity * RESOURCES + resource), 1);
  }
  for (let left = Math.round((made.resourceFactor * RESOURCES - 1) * n); left > 0; left -= 1) {
    const [cell = 0] = cells.splice(upTo(cells.length), 1);
    (requests[Math.floor(cell / RESOURCES)] as number[])[cell % RESOURCES] = 1 + upTo(LARGEST);
  }
  const earliest: number[] = [];
  for (let activity = 0; activity < n; activity += 1) {
    const finishes = (before[activity] ?? []).map(
      (one) => (earliest[one] ?? 0) + (duration[one] ?? 0),
    );
    earliest.push(Math.max(0, ...finishes));
  }
  const resources = Array.from({ length: RESOURCES }, (_, resource) => {
    const use: number[] = [];
    for (const [activity, row] of requests.entries()) {
      const start = earliest[activity] ?? 0;
      for (let day = start; day < start + (duration[activity] ?? 0); day += 1) {
        use[day] = (use[day] ?? 0) + (row[resource] ?? 0);
      }
    }
    const least = Math.max(1, ...requests.map((row) => row[resource] ?? 0));
    const peak = Math.max(least, ...use.map((sum) => sum ?? 0));
    return {
      id: `R${resource + 1}`,
      capacity: least + Math.round(made.resourceStrength * (peak - least)),
    };
  });
  return {
    resources,
    activities: duration.map((durationDays, activity) => ({
      id: String(activity + 1),
      durationDays,
      requires: (requests[activity] ?? [])
        .map((count, resource) => ({ resourceId: `R${resource + 1}`, count }))
        .filter(({ count }) => count > 0),
      after: (before[activity] ?? []).map((one) => ({ activityId: String(one + 1) })),
    })),
  };
}
