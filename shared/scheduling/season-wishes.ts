import type { ConflictingWish } from './build-plan.ts';
import type { BuildSeason, SeasonBuild, SeasonStage, SeasonTemplate } from './build-season.ts';
import { isSkilled } from './season-nodes.ts';

/** Wishes that a season can be freed of one by one. */
export type HeldWish = Extract<ConflictingWish, { kind: 'pin' | 'crew-until' | 'maximum-wait' }>;
/** Wishes that no plan keeps, whatever the others. */
export type LoneWish = Exclude<ConflictingWish, HeldWish>;

export const wishKey = (wish: HeldWish): string => {
  if (wish.kind === 'crew-until') return `${wish.kind} ${wish.crewId}`;
  const own = wish.kind === 'pin' ? wish.pinId : wish.stageCode;
  return `${wish.kind} ${wish.buildId} ${own}`;
};

/** Stages still to be planned, with their builds. */
export function openStages(
  season: BuildSeason,
): { readonly build: SeasonBuild; readonly stage: SeasonStage }[] {
  const templateById = new Map(season.templates.map((template) => [template.id, template]));
  return season.builds.flatMap((build) => {
    const told = new Set(build.facts.map(({ stageCode }) => stageCode));
    const stages = templateById.get(build.templateId)?.stages ?? [];
    return stages.filter(({ code }) => !told.has(code)).map((stage) => ({ build, stage }));
  });
}

/**
 * Pins of stages that are not begun, ends of crews, and greatest waits of a season.
 *
 * @source season-rules
 */
export function heldWishes(season: BuildSeason): HeldWish[] {
  const wishes: HeldWish[] = [];
  const open = openStages(season);
  const openCodes = new Set(open.map(({ build, stage }) => `${build.id}/${stage.code}`));
  for (const { id: buildId, pins, facts } of season.builds) {
    for (const { id: pinId, stageCode, crewId } of pins) {
      const isOpen =
        stageCode === null
          ? crewId !== null || facts.length === 0
          : openCodes.has(`${buildId}/${stageCode}`);
      if (isOpen) wishes.push({ kind: 'pin', pinId, buildId });
    }
  }
  for (const { id: crewId, untilDay } of season.crews) {
    if (untilDay !== null) wishes.push({ kind: 'crew-until', crewId });
  }
  for (const { build, stage } of open) {
    if (stage.after.every(({ maximumWaitDays }) => maximumWaitDays === null)) continue;
    wishes.push({ kind: 'maximum-wait', buildId: build.id, stageCode: stage.code });
  }
  return wishes;
}

/**
 * Stages that nobody can do: no crew has the trade, none with the trade has the people, or there is
 * less equipment than one stage needs.
 *
 * @source season-rules
 */
export function loneWishes(season: BuildSeason): LoneWish[] {
  const unitsOf = new Map(season.equipment.map(({ id, units }) => [id, units]));
  return openStages(season).flatMap(({ build, stage }): LoneWish[] => {
    const at = { buildId: build.id, stageCode: stage.code };
    const skilled = season.crews.filter((crew) => isSkilled(crew, stage));
    if (skilled.length === 0) return [{ kind: 'no-crew-for-trade', ...at }];
    if (skilled.every(({ people }) => people < stage.people)) {
      return [{ kind: 'too-few-people', ...at }];
    }
    const short = stage.equipment.find((row) => (unitsOf.get(row.equipmentId) ?? 0) < row.units);
    if (short === undefined) return [];
    return [{ kind: 'too-little-equipment', ...at, equipmentId: short.equipmentId }];
  });
}

/**
 * A season of some of its builds, freed of all wishes but those to keep and of what nobody can do. A
 * plan of the season that keeps the wishes, less its other builds, is a plan of it.
 *
 * @param keys of wishes to keep
 * @source season-rules
 */
export function freedSeason(
  season: BuildSeason,
  keys: ReadonlySet<string>,
  buildIds: ReadonlySet<string> | null,
): BuildSeason {
  const lone = new Set(loneWishes(season).map((wish) => `${wish.buildId}/${wish.stageCode}`));
  const templateById = new Map(season.templates.map((template) => [template.id, template]));
  const templates: SeasonTemplate[] = [];
  const mostPeople = season.crews.reduce((most, { people }) => Math.max(most, people), 0);
  const builds = season.builds
    .filter(({ id }) => buildIds === null || buildIds.has(id))
    .map((build): SeasonBuild => {
      const stages = templateById.get(build.templateId)?.stages ?? [];
      templates.push({
        id: build.id,
        stages: stages.map((stage): SeasonStage => {
          const isKept = keys.has(
            wishKey({ kind: 'maximum-wait', buildId: build.id, stageCode: stage.code }),
          );
          const after = isKept
            ? stage.after
            : stage.after.map((follow) => ({ ...follow, maximumWaitDays: null }));
          if (!lone.has(`${build.id}/${stage.code}`)) return { ...stage, after };
          const people = Math.min(stage.people, mostPeople);
          return { ...stage, after, people, trade: null, equipment: [] };
        }),
      });
      const pins = build.pins.filter(({ id: pinId }) =>
        keys.has(wishKey({ kind: 'pin', pinId, buildId: build.id })),
      );
      return { ...build, templateId: build.id, pins };
    });
  const crews = season.crews.map((crew) =>
    keys.has(wishKey({ kind: 'crew-until', crewId: crew.id })) ? crew : { ...crew, untilDay: null },
  );
  return { ...season, templates, builds, crews };
}
