import type { WishConflict } from './build-plan.ts';
import type { BuildSeason } from './build-season.ts';
import { type SeasonContradiction, seasonContradiction } from './season-contradiction.ts';
import {
  freedSeason,
  type HeldWish,
  heldWishes,
  type LoneWish,
  loneWishes,
  openStages,
  wishKey,
} from './season-wishes.ts';

/** Conflicts after which no more are sought, and smaller sets tried, times their builds. Ours. */
const MOST_CONFLICTS = 12;
const MOST_SETS = 4_000;
const MOST_SMALL = 3;

/**
 * Smallest sets of wishes that are proved not to hold together, each with why.
 *
 * Trades that nobody has, stages with more people than any crew of the trade, and too little
 * equipment stand alone. Among pins, ends of crews and greatest waits a set is thinned wish by wish
 * while it stays contradictory; then all sets of one, two or three wishes of the same builds and crews
 * are tried, so that a smaller one is found where the same proof has it. A set that is returned never
 * has a plan; a conflict that needs search to be seen may be missed.
 *
 * @source season-rules
 * @source deletion-filter
 */
export function wishConflicts(season: BuildSeason): WishConflict[] {
  const conflicts = loneConflicts(season);
  let left = heldWishes(season);
  while (conflicts.length < MOST_CONFLICTS) {
    const keys = new Set(left.map(wishKey));
    const found = seasonContradiction(freedSeason(season, keys, null));
    // What breaks without any wish is no conflict of wishes.
    if (found === null) break;
    const wishes = smallestSet(season, left, found);
    if (wishes.length === 0) break;
    const own = new Set(wishes.map(wishKey));
    const why = seasonContradiction(freedSeason(season, own, new Set(found.buildIds))) ?? found;
    conflicts.push({ wishes, isProved: true, detail: detailOf(season, wishes, why.reason) });
    left = left.filter((wish) => !own.has(wishKey(wish)));
  }
  return conflicts;
}

/** One conflict for a stage of a template, named at its first build. */
function loneConflicts(season: BuildSeason): WishConflict[] {
  const first = new Map<string, { wish: LoneWish; count: number }>();
  const templateOf = new Map(season.builds.map(({ id, templateId }) => [id, templateId]));
  for (const wish of loneWishes(season)) {
    const key = `${wish.kind} ${templateOf.get(wish.buildId)} ${wish.stageCode}`;
    const known = first.get(key);
    if (known === undefined) first.set(key, { wish, count: 1 });
    else known.count += 1;
  }
  return [...first.values()].map(({ wish, count }) => {
    const others = count === 1 ? '' : ` (and of ${count - 1} more builds)`;
    const detail = `${wish.stageCode} of ${wish.buildId}${others} ${loneReason(season, wish)}`;
    return { wishes: [wish], isProved: true, detail };
  });
}

function loneReason(season: BuildSeason, wish: LoneWish): string {
  const stage = openStages(season).find(
    (one) => one.build.id === wish.buildId && one.stage.code === wish.stageCode,
  )?.stage;
  if (wish.kind === 'no-crew-for-trade')
    return `needs the trade ${stage?.trade}, which no crew has`;
  if (wish.kind === 'too-few-people') {
    return `needs ${stage?.people} people, and no crew of its trade has so many`;
  }
  const row = stage?.equipment.find(({ equipmentId }) => equipmentId === wish.equipmentId);
  const there = season.equipment.find(({ id }) => id === wish.equipmentId)?.units ?? 0;
  return `needs ${row?.units} of ${wish.equipmentId}, of which there are ${there}`;
}

/** A smallest contradictory set among the wishes that touch the builds of a contradiction. */
function smallestSet(
  season: BuildSeason,
  all: readonly HeldWish[],
  { buildIds }: SeasonContradiction,
): HeldWish[] {
  const builds = new Set(buildIds);
  const near = all.filter((wish) => wish.kind === 'crew-until' || builds.has(wish.buildId));
  const isContradictory = (wishes: readonly HeldWish[]): boolean =>
    seasonContradiction(freedSeason(season, new Set(wishes.map(wishKey)), builds)) !== null;
  const kinds = [['crew-until'], ['maximum-wait'], ['pin'], ['pin', 'crew-until']];
  const start = kinds
    .map((some) => near.filter(({ kind }) => some.includes(kind)))
    .find((wishes) => wishes.length > 0 && isContradictory(wishes));
  if (start === undefined && !isContradictory(near)) return [];
  const kept = thinned(start ?? near, isContradictory);
  for (let count = 1; count < Math.min(kept.length, MOST_SMALL + 1); count += 1) {
    if (setCount(near.length, count) * builds.size > MOST_SETS) break;
    const smaller = firstSet(near, count, isContradictory);
    if (smaller !== null) return smaller;
  }
  return kept;
}

/** Drops wishes, many at a time and then one by one, as long as the rest is contradictory. */
function thinned(
  wishes: readonly HeldWish[],
  isContradictory: (wishes: readonly HeldWish[]) => boolean,
): HeldWish[] {
  let kept = wishes.slice();
  for (let size = Math.ceil(kept.length / 2); size >= 1; size = size === 1 ? 0 : size >> 1) {
    for (let from = 0; from < kept.length; ) {
      const rest = [...kept.slice(0, from), ...kept.slice(from + size)];
      if (isContradictory(rest)) kept = rest;
      else from += size;
    }
  }
  return kept;
}

function setCount(length: number, count: number): number {
  let sets = 1;
  for (let at = 0; at < count; at += 1) sets = (sets * (length - at)) / (at + 1);
  return sets;
}

function firstSet(
  wishes: readonly HeldWish[],
  count: number,
  isWanted: (wishes: readonly HeldWish[]) => boolean,
  begun: readonly HeldWish[] = [],
): HeldWish[] | null {
  if (begun.length === count) return isWanted(begun) ? begun.slice() : null;
  for (const [at, wish] of wishes.entries()) {
    const found = firstSet(wishes.slice(at + 1), count, isWanted, [...begun, wish]);
    if (found !== null) return found;
  }
  return null;
}

function detailOf(season: BuildSeason, wishes: readonly HeldWish[], reason: string): string {
  const said = wishes.map((wish) => wordsOf(season, wish)).join('; ');
  return `${said}: ${reason}`;
}

function wordsOf(season: BuildSeason, wish: HeldWish): string {
  if (wish.kind === 'crew-until') {
    const day = season.crews.find(({ id }) => id === wish.crewId)?.untilDay;
    return `crew ${wish.crewId} is gone from day ${day}`;
  }
  const build = season.builds.find(({ id }) => id === wish.buildId);
  if (wish.kind === 'maximum-wait') {
    const stage = openStages(season).find(
      (one) => one.build === build && one.stage.code === wish.stageCode,
    )?.stage;
    const after = stage?.after.filter(({ maximumWaitDays }) => maximumWaitDays !== null) ?? [];
    const rows = after.map((row) => `${row.stageCode} within ${row.maximumWaitDays} days`);
    return `${wish.stageCode} of ${wish.buildId} follows ${rows.join(' and ')}`;
  }
  const pin = build?.pins.find(({ id }) => id === wish.pinId);
  const what = pin?.stageCode === null ? wish.buildId : `${pin?.stageCode} of ${wish.buildId}`;
  const by = pin?.crewId === null ? '' : ` to crew ${pin?.crewId}`;
  const on = pin?.startDay === null ? '' : ` to start on day ${pin?.startDay}`;
  return `${what} is pinned${by}${on}`;
}
