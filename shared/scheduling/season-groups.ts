import type { BuildSeason, SeasonBuild, SeasonStage } from './build-season.ts';

/** Stages of one build and one trade that are still to be worked on: one crew does them all. */
export interface SeasonGroup {
  readonly build: number;
  readonly trade: string | null;
  /** Crews with the trade, enough people and days left, by their places in the season. */
  readonly crews: readonly number[];
  /** Crew held by a pin or by what was begun, or −1. */
  readonly heldCrew: number;
}

export interface SeasonGroups {
  readonly groups: readonly SeasonGroup[];
  /** By build and place of the stage in its template: the group, or −1 for a done stage. */
  readonly groupOf: readonly Int32Array[];
  /** Pins that cannot hold whatever the plan: another one or the crew itself stands against them. */
  readonly brokenPins: readonly { readonly build: number; readonly pinId: string }[];
}

/**
 * Groups the stages of every build by trade and finds who may do them.
 *
 * A pin of a stage goes before a pin of the build, any pin before facts; the crew that has begun, or
 * done a stage of the group and stays to the end, goes on with it.
 *
 * @source serial-generation
 */
export function seasonGroups(season: BuildSeason): SeasonGroups {
  const groups: SeasonGroup[] = [];
  const groupOf: Int32Array[] = [];
  const brokenPins: { build: number; pinId: string }[] = [];
  const crewAt = new Map(season.crews.map(({ id }, at) => [id, at]));
  const stagesOf = new Map(season.templates.map(({ id, stages }) => [id, stages]));
  for (const [at, build] of season.builds.entries()) {
    const stages = stagesOf.get(build.templateId) ?? [];
    const isDone = new Set(build.facts.flatMap((f) => (f.kind === 'done' ? [f.stageCode] : [])));
    const own = new Int32Array(stages.length).fill(-1);
    const isKept = new Set<string>();
    // A stage of no trade goes its own way when a pin says so.
    const ownWay = (stage: SeasonStage) =>
      stage.trade === null &&
      build.pins.some((p) => p.stageCode === stage.code && p.crewId !== null);
    const keyOf = (stage: SeasonStage) =>
      ownWay(stage) ? `stage ${stage.code}` : stage.trade === null ? '' : `trade ${stage.trade}`;
    for (const key of new Set(stages.map(keyOf))) {
      const all = stages.filter((stage) => keyOf(stage) === key);
      const trade = all[0]?.trade ?? null;
      const left = all.filter(({ code }) => !isDone.has(code));
      if (left.length === 0) continue;
      const crews = crewsFor(season, trade, left);
      const held = heldCrew(build, all, crews, crewAt, season);
      for (const pinId of held.kept) isKept.add(pinId);
      for (const [place, stage] of stages.entries()) {
        if (keyOf(stage) === key && !isDone.has(stage.code)) own[place] = groups.length;
      }
      groups.push({ build: at, trade, crews, heldCrew: held.crew });
    }
    groupOf.push(own);
    for (const pin of build.pins) {
      const isPast = pin.stageCode !== null && isDone.has(pin.stageCode);
      if (pin.crewId === null || isPast || isKept.has(pin.id)) continue;
      if (own.some((group) => group >= 0)) brokenPins.push({ build: at, pinId: pin.id });
    }
  }
  return { groups, groupOf, brokenPins };
}

function crewsFor(
  { crews }: BuildSeason,
  trade: string | null,
  stages: readonly SeasonStage[],
): number[] {
  const people = Math.max(...stages.map((stage) => stage.people));
  return crews.flatMap((crew, at) => {
    const isSkilled = trade === null || crew.trades.length === 0 || crew.trades.includes(trade);
    const isThere = crew.untilDay === null || crew.untilDay > Math.max(0, crew.fromDay);
    return isSkilled && isThere && crew.people >= people ? [at] : [];
  });
}

function heldCrew(
  build: SeasonBuild,
  stages: readonly SeasonStage[],
  crews: readonly number[],
  crewAt: ReadonlyMap<string, number>,
  { crews: all }: BuildSeason,
): { crew: number; kept: string[] } {
  const codes = new Set(stages.map(({ code }) => code));
  const isOf = (code: string | null) => code !== null && codes.has(code);
  const ofStages = build.pins.filter(({ stageCode }) => isOf(stageCode));
  const ofBuild = build.pins.filter(({ stageCode }) => stageCode === null);
  let crew = -1;
  const kept: string[] = [];
  for (const { id, crewId } of [...ofStages, ...ofBuild]) {
    const wished = crewId === null ? undefined : crewAt.get(crewId);
    if (wished === undefined || !crews.includes(wished)) continue;
    if (crew < 0) crew = wished;
    if (crew === wished) kept.push(id);
  }
  if (crew >= 0) return { crew, kept };
  const facts = build.facts.filter(({ stageCode }) => isOf(stageCode));
  const begun = facts.filter(({ kind }) => kind === 'begun');
  for (const { kind, crewId } of [...begun, ...facts.reverse()]) {
    const was = crewId === null ? undefined : crewAt.get(crewId);
    if (was === undefined || !crews.includes(was)) continue;
    if (kind === 'begun' || all[was]?.untilDay === null) return { crew: was, kept };
  }
  return { crew, kept };
}
