import { EngineError } from '../errors.ts';
import type { BuildSeason, DayRange, SeasonBuild, SeasonTemplate } from './build-season.ts';

/** Days that a season may reach; more is a slip of the pen. Ours. */
export const MAX_SEASON_DAYS = 20_000;

/**
 * Throws unless a season is whole: ids known and met once, days and counts whole and within reach,
 * stages of a template without a circle, moves symmetric.
 *
 * Wishes that cannot be kept are no errors: a plan says which.
 *
 * @throws {EngineError} naming the field, such as `templates[0].stages[2].after[0].stageCode`
 * @source serial-generation
 */
export function requireBuildSeason(season: BuildSeason): void {
  const { villages, crews, equipment, templates, builds, moveDays, rains } = season;
  const villageIds = uniqueIds('villages', villages);
  const crewIds = uniqueIds('crews', crews);
  const equipmentIds = uniqueIds('equipment', equipment);
  const templateIds = uniqueIds('templates', templates);
  uniqueIds('builds', builds);
  for (const [at, { isWorkingDay }] of villages.entries()) {
    if (isWorkingDay.length > MAX_SEASON_DAYS || !isWorkingDay.slice(-7).includes(true)) {
      const limit = `must end with a week that has work in it, within ${MAX_SEASON_DAYS} days`;
      fail(`villages[${at}].isWorkingDay`, isWorkingDay.length, limit);
    }
  }
  requireMoves(moveDays, villages.length);
  for (const [at, crew] of crews.entries()) {
    const field = `crews[${at}]`;
    whole(`${field}.people`, crew.people, 1, 10_000);
    if (crew.homeVillageId !== null)
      known(`${field}.homeVillageId`, crew.homeVillageId, villageIds);
    whole(`${field}.fromDay`, crew.fromDay, -MAX_SEASON_DAYS, MAX_SEASON_DAYS);
    if (crew.untilDay !== null) {
      whole(`${field}.untilDay`, crew.untilDay, -MAX_SEASON_DAYS, MAX_SEASON_DAYS);
    }
    requireRanges(`${field}.absences`, crew.absences);
    if (crew.learning === null) continue;
    const { tanksBuilt, practisedAfterTanks, ratio } = crew.learning;
    whole(`${field}.learning.tanksBuilt`, tanksBuilt, 0, 1e6);
    whole(`${field}.learning.practisedAfterTanks`, practisedAfterTanks, 1, 1e6);
    if (!(ratio >= 0.5 && ratio <= 1)) {
      fail(`${field}.learning.ratio`, ratio, 'must lie in [0.5, 1]');
    }
  }
  for (const [at, { units }] of equipment.entries()) {
    whole(`equipment[${at}].units`, units, 0, 1e6);
  }
  for (const [at, template] of templates.entries()) {
    requireTemplate(`templates[${at}]`, template, equipmentIds);
  }
  const templateById = new Map(templates.map((template) => [template.id, template]));
  for (const [at, build] of builds.entries()) {
    const field = `builds[${at}]`;
    known(`${field}.villageId`, build.villageId, villageIds);
    known(`${field}.templateId`, build.templateId, templateIds);
    const stages = templateById.get(build.templateId)?.stages ?? [];
    requireBuild(field, build, new Set(stages.map(({ code }) => code)), crewIds);
  }
  requireRanges('rains', rains);
}

function requireMoves(moveDays: readonly (readonly number[])[], count: number): void {
  if (moveDays.length !== count) {
    fail('moveDays', moveDays.length, `must have a row for each of ${count} villages`);
  }
  for (const [from, row] of moveDays.entries()) {
    if (row.length !== count) {
      fail(`moveDays[${from}]`, row.length, `must have a day for each of ${count} villages`);
    }
    for (const [to, days] of row.entries()) {
      const field = `moveDays[${from}][${to}]`;
      whole(field, days, 0, 366);
      if (from === to && days !== 0) fail(field, days, 'must be 0 within a village');
      if (days !== moveDays[to]?.[from]) fail(field, days, 'must be the same both ways');
    }
  }
}

function requireTemplate(
  field: string,
  { stages }: SeasonTemplate,
  equipmentIds: ReadonlySet<string>,
): void {
  if (stages.length === 0) throw new EngineError('missing-data', `${field}.stages`, 0, 'has none');
  const codes = new Set<string>();
  for (const [at, { code }] of stages.entries()) {
    if (codes.has(code)) fail(`${field}.stages[${at}].code`, code, 'stands twice');
    codes.add(code);
  }
  for (const [at, stage] of stages.entries()) {
    const own = `${field}.stages[${at}]`;
    whole(`${own}.workDays`, stage.workDays, 1, 1_000);
    whole(`${own}.people`, stage.people, 1, 10_000);
    for (const [row, { equipmentId, units }] of stage.equipment.entries()) {
      known(`${own}.equipment[${row}].equipmentId`, equipmentId, equipmentIds);
      whole(`${own}.equipment[${row}].units`, units, 1, 1e6);
    }
    for (const [row, follow] of stage.after.entries()) {
      known(`${own}.after[${row}].stageCode`, follow.stageCode, codes);
      const { minimumWaitDays, maximumWaitDays } = follow;
      whole(`${own}.after[${row}].minimumWaitDays`, minimumWaitDays, 0, 3_660);
      if (maximumWaitDays !== null) {
        whole(`${own}.after[${row}].maximumWaitDays`, maximumWaitDays, minimumWaitDays, 3_660);
      }
    }
  }
  requireNoCircle(field, { stages });
}

function requireNoCircle(field: string, { stages }: Pick<SeasonTemplate, 'stages'>): void {
  const passed = new Set<string>();
  for (let left = stages.slice(); left.length > 0; ) {
    const ready = left.filter(({ after }) => after.every(({ stageCode }) => passed.has(stageCode)));
    const first = left[0];
    if (ready.length === 0 && first !== undefined) {
      const limit = 'must not follow itself, through others either';
      throw new EngineError('cyclic-network', `${field}.stages`, first.code, limit);
    }
    for (const { code } of ready) passed.add(code);
    left = left.filter(({ code }) => !passed.has(code));
  }
}

function requireBuild(
  field: string,
  build: SeasonBuild,
  codes: ReadonlySet<string>,
  crewIds: ReadonlySet<string>,
): void {
  whole(`${field}.releaseDay`, build.releaseDay, -MAX_SEASON_DAYS, MAX_SEASON_DAYS);
  if (build.dueDay !== null) {
    whole(`${field}.dueDay`, build.dueDay, -MAX_SEASON_DAYS, MAX_SEASON_DAYS);
  }
  for (const [at, { stageCode, day }] of (build.stageReleases ?? []).entries()) {
    known(`${field}.stageReleases[${at}].stageCode`, stageCode, codes);
    whole(`${field}.stageReleases[${at}].day`, day, -MAX_SEASON_DAYS, MAX_SEASON_DAYS);
  }
  const told = new Set<string>();
  for (const [at, fact] of build.facts.entries()) {
    const own = `${field}.facts[${at}]`;
    known(`${own}.stageCode`, fact.stageCode, codes);
    if (told.has(fact.stageCode)) fail(`${own}.stageCode`, fact.stageCode, 'stands twice');
    told.add(fact.stageCode);
    if (fact.kind === 'begun') {
      whole(`${own}.remainingDays`, fact.remainingDays, 1, 1_000);
      continue;
    }
    whole(`${own}.finishDay`, fact.finishDay, -MAX_SEASON_DAYS, MAX_SEASON_DAYS);
    if (fact.followedFromDay !== null) {
      whole(`${own}.followedFromDay`, fact.followedFromDay, -MAX_SEASON_DAYS, MAX_SEASON_DAYS);
    }
  }
  for (const [at, pin] of build.pins.entries()) {
    const own = `${field}.pins[${at}]`;
    if (pin.stageCode !== null) known(`${own}.stageCode`, pin.stageCode, codes);
    if (pin.crewId !== null) known(`${own}.crewId`, pin.crewId, crewIds);
    if (pin.startDay !== null) whole(`${own}.startDay`, pin.startDay, 0, MAX_SEASON_DAYS);
  }
  for (const [at, { stageCode, startDay }] of build.earlier.entries()) {
    known(`${field}.earlier[${at}].stageCode`, stageCode, codes);
    whole(`${field}.earlier[${at}].startDay`, startDay, -MAX_SEASON_DAYS, MAX_SEASON_DAYS);
  }
}

function uniqueIds(field: string, rows: readonly { readonly id: string }[]): Set<string> {
  const ids = new Set<string>();
  for (const [at, { id }] of rows.entries()) {
    if (ids.has(id)) fail(`${field}[${at}].id`, id, 'stands twice');
    ids.add(id);
  }
  return ids;
}

function known(field: string, id: string, ids: ReadonlySet<string>): void {
  if (!ids.has(id)) fail(field, id, 'is not in the season');
}

function whole(field: string, value: number, low: number, high: number): void {
  if (!Number.isInteger(value) || value < low || value > high) {
    fail(field, value, `must be a whole number in [${low}, ${high}]`);
  }
}

function requireRanges(field: string, ranges: readonly DayRange[]): void {
  for (const [at, { fromDay, untilDay }] of ranges.entries()) {
    whole(`${field}[${at}].fromDay`, fromDay, -MAX_SEASON_DAYS, MAX_SEASON_DAYS);
    whole(`${field}[${at}].untilDay`, untilDay, fromDay, MAX_SEASON_DAYS);
  }
}

function fail(field: string, value: unknown, limit: string): never {
  throw new EngineError('out-of-range', field, value, limit);
}
