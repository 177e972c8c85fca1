import { EngineError } from '../errors.ts';
import { type WorkingDays, workingDays } from './project-calendar.ts';
import { topologicalOrder } from './project-order.ts';
import type { ProjectInput } from './project-types.ts';

/** Sizes that a project may have. Ours: beyond them day numbers and memory get out of hand. */
export const PROJECT_LIMITS = {
  activities: 100_000,
  resources: 5_000,
  relations: 1_000_000,
  durationDays: 3_650,
  lagDays: 3_650,
  capacity: 1_000_000,
  day: 100_000,
} as const;

/** Links of activities by row: those of `a` stand from `from[a]` to before `from[a + 1]`. */
export interface RelationRows {
  readonly from: Int32Array;
  readonly other: Int32Array;
  readonly minimumLagDays: Int32Array;
  /** −1 where there is none. */
  readonly maximumLagDays: Int32Array;
}

/** A checked project in arrays by activity and resource number. */
export interface ProjectNetwork {
  readonly activityIds: readonly string[];
  readonly resourceIds: readonly string[];
  readonly capacity: Int32Array;
  readonly durationDays: Int32Array;
  /** Requests of `a` stand from `requestFrom[a]` to before `requestFrom[a + 1]`. */
  readonly requestFrom: Int32Array;
  readonly requestResource: Int32Array;
  readonly requestCount: Int32Array;
  readonly predecessors: RelationRows;
  readonly successors: RelationRows;
  /** All activities, each after its predecessors, as near to the given order as that allows. */
  readonly order: Int32Array;
  readonly releaseDay: Int32Array;
  /** −1 where there is none; so in `fixedStartDay`. */
  readonly dueDay: Int32Array;
  readonly fixedStartDay: Int32Array;
  readonly calendarOf: readonly (WorkingDays | null)[];
  readonly bookings: readonly NetworkBooking[];
  readonly hasMaximumLags: boolean;
  readonly hasDueDays: boolean;
  readonly hasFixedStarts: boolean;
  /** Whether all of a plan may be moved along the day axis: nothing is tied to a day. */
  readonly isShiftable: boolean;
}

export interface NetworkBooking {
  readonly resource: number;
  readonly count: number;
  readonly fromDay: number;
  readonly untilDay: number;
}

function requireWhole(field: string, value: number, least: number, greatest: number): void {
  if (!Number.isSafeInteger(value) || value < least || value > greatest) {
    const limit = `must be a whole number from ${least} to ${greatest}`;
    throw new EngineError('out-of-range', field, value, limit);
  }
}

function indexById(field: string, items: readonly { readonly id: string }[], most: number) {
  requireWhole(`${field}.length`, items.length, 0, most);
  const index = new Map<string, number>();
  for (const [at, { id }] of items.entries()) {
    if (index.has(id)) throw new EngineError('inconsistent', `${field}[${at}].id`, id, 'repeated');
    index.set(id, at);
  }
  return (place: string, id: string): number => {
    const at = index.get(id);
    if (at === undefined) {
      throw new EngineError('missing-data', place, id, `must be the id of one of the ${field}`);
    }
    return at;
  };
}

interface Link {
  readonly before: number;
  readonly after: number;
  readonly minimumLagDays: number;
  readonly maximumLagDays: number;
}

/** Links sorted by one of their ends. */
function rows(count: number, links: readonly Link[], end: 'before' | 'after'): RelationRows {
  const other = end === 'before' ? 'after' : 'before';
  const from = new Int32Array(count + 1);
  for (const link of links) from[link[end] + 1] = (from[link[end] + 1] as number) + 1;
  for (let at = 0; at < count; at += 1) {
    from[at + 1] = (from[at + 1] as number) + (from[at] as number);
  }
  const next = from.slice();
  const made = {
    from,
    other: new Int32Array(links.length),
    minimumLagDays: new Int32Array(links.length),
    maximumLagDays: new Int32Array(links.length),
  };
  for (const link of links) {
    const at = next[link[end]] as number;
    next[link[end]] = at + 1;
    made.other[at] = link[other];
    made.minimumLagDays[at] = link.minimumLagDays;
    made.maximumLagDays[at] = link.maximumLagDays;
  }
  return made;
}

/**
 * Checks a project and puts it into arrays. A relation between two activities with fixed starts is
 * a fact of the past and is left out.
 *
 * @throws {EngineError} `missing-data` for an id that nothing bears; `inconsistent` for a repeated
 *   id or a greatest lag below the least; `out-of-range` for a request above the capacity or a size
 *   above PROJECT_LIMITS; `cyclic-network` naming the activities that wait for each other
 * @source critical-path
 */
export function projectNetwork(input: ProjectInput): ProjectNetwork {
  const { activities, resources, calendars = [], bookings = [] } = input;
  const resourceAt = indexById('resources', resources, PROJECT_LIMITS.resources);
  const activityAt = indexById('activities', activities, PROJECT_LIMITS.activities);
  const calendarAt = indexById('calendars', calendars, PROJECT_LIMITS.activities);
  for (const [at, { capacity }] of resources.entries()) {
    requireWhole(`resources[${at}].capacity`, capacity, 0, PROJECT_LIMITS.capacity);
  }
  const compiled = calendars.map((one, at) =>
    workingDays(one.isWorkingDay, `calendars[${at}].isWorkingDay`),
  );
  const count = activities.length;
  const day = (field: string, value: number | undefined, none: number) => {
    if (value !== undefined) requireWhole(field, value, 0, PROJECT_LIMITS.day);
    return value ?? none;
  };
  const durationDays = new Int32Array(count);
  const releaseDay = new Int32Array(count);
  const dueDay = new Int32Array(count);
  const fixedStartDay = new Int32Array(count);
  const requestFrom = new Int32Array(count + 1);
  const requests: { resource: number; count: number }[] = [];
  const links: Link[] = [];
  for (const [at, activity] of activities.entries()) {
    const here = `activities[${at}]`;
    requireWhole(`${here}.durationDays`, activity.durationDays, 0, PROJECT_LIMITS.durationDays);
    durationDays[at] = activity.durationDays;
    releaseDay[at] = day(`${here}.releaseDay`, activity.releaseDay, 0);
    dueDay[at] = day(`${here}.dueDay`, activity.dueDay, -1);
    fixedStartDay[at] = day(`${here}.fixedStartDay`, activity.fixedStartDay, -1);
    const asked = new Map<number, number>();
    for (const [which, { resourceId, count: units }] of activity.requires.entries()) {
      const resource = resourceAt(`${here}.requires[${which}].resourceId`, resourceId);
      const field = `${here}.requires[${which}].count`;
      requireWhole(field, units, 0, PROJECT_LIMITS.capacity);
      const total = (asked.get(resource) ?? 0) + units;
      const capacity = resources[resource]?.capacity ?? 0;
      if (total > capacity) {
        const limit = `must not exceed the capacity ${capacity} of resource ${resourceId}`;
        throw new EngineError('out-of-range', field, total, limit);
      }
      asked.set(resource, total);
    }
    for (const [resource, units] of asked) {
      if (units > 0 && activity.durationDays > 0) requests.push({ resource, count: units });
    }
    requestFrom[at + 1] = requests.length;
    for (const [which, relation] of activity.after.entries()) {
      const field = `${here}.after[${which}]`;
      const before = activityAt(`${field}.activityId`, relation.activityId);
      const { minimumLagDays = 0, maximumLagDays } = relation;
      requireWhole(`${field}.minimumLagDays`, minimumLagDays, 0, PROJECT_LIMITS.lagDays);
      if (maximumLagDays !== undefined) {
        const name = `${field}.maximumLagDays`;
        requireWhole(name, maximumLagDays, 0, PROJECT_LIMITS.lagDays);
        if (maximumLagDays < minimumLagDays) {
          const limit = `must not be below minimumLagDays = ${minimumLagDays}`;
          throw new EngineError('inconsistent', name, maximumLagDays, limit);
        }
      }
      links.push({ before, after: at, minimumLagDays, maximumLagDays: maximumLagDays ?? -1 });
    }
  }
  requireWhole('relations', links.length, 0, PROJECT_LIMITS.relations);
  const activityIds = activities.map(({ id }) => id);
  const order = topologicalOrder(activityIds, rows(count, links, 'before'));
  const isFixed = (at: number) => (fixedStartDay[at] as number) >= 0;
  const kept = links.filter(({ before, after }) => !(isFixed(before) && isFixed(after)));
  const calendarOf = activities.map(({ calendarId }, at) =>
    calendarId === undefined
      ? null
      : (compiled[calendarAt(`activities[${at}].calendarId`, calendarId)] ?? null),
  );
  const taken = bookings.map((booking, at): NetworkBooking => {
    const here = `bookings[${at}]`;
    requireWhole(`${here}.count`, booking.count, 0, PROJECT_LIMITS.capacity);
    requireWhole(`${here}.fromDay`, booking.fromDay, 0, PROJECT_LIMITS.day);
    requireWhole(`${here}.untilDay`, booking.untilDay, booking.fromDay, PROJECT_LIMITS.day);
    return { ...booking, resource: resourceAt(`${here}.resourceId`, booking.resourceId) };
  });
  const hasDueDays = dueDay.some((due) => due >= 0);
  const hasFixedStarts = fixedStartDay.some((start) => start >= 0);
  const isTied =
    calendarOf.some((one) => one !== null) || releaseDay.some((release) => release > 0);
  return {
    activityIds,
    resourceIds: resources.map(({ id }) => id),
    capacity: Int32Array.from(resources, ({ capacity }) => capacity),
    durationDays,
    requestFrom,
    requestResource: Int32Array.from(requests, ({ resource }) => resource),
    requestCount: Int32Array.from(requests, (request) => request.count),
    predecessors: rows(count, kept, 'after'),
    successors: rows(count, kept, 'before'),
    order,
    releaseDay,
    dueDay,
    fixedStartDay,
    calendarOf,
    bookings: taken,
    hasMaximumLags: kept.some(({ maximumLagDays }) => maximumLagDays >= 0),
    hasDueDays,
    hasFixedStarts,
    isShiftable: !(isTied || hasDueDays || hasFixedStarts || taken.length > 0),
  };
}
