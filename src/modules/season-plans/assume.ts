import type { SeasonAssumptions } from '../../../shared/contract/season-plan.ts';
import type { SeasonBuild } from '../../../shared/scheduling/build-season.ts';
import type { FieldError } from '../../domain/errors.ts';
import type { SeasonDays } from './season-days.ts';
import type { CrewToPlan, PinToPlan } from './season-repository.ts';

/** Crews as known, those away as supposed, and those that are only supposed. */
export function supposedCrews(
  crews: readonly CrewToPlan[],
  assumptions: SeasonAssumptions | undefined,
): CrewToPlan[] {
  const away = assumptions?.crewsAway ?? [];
  const known = crews.map((crew) => ({
    ...crew,
    absences: [
      ...crew.absences,
      ...away
        .filter(({ crewId }) => crewId === crew.id)
        .map(({ fromOn, untilOn }) => ({ fromOn, untilOn, reason: 'supposed' })),
    ],
  }));
  const extra = (assumptions?.extraCrews ?? []).map(
    (crew): CrewToPlan => ({
      ...crew,
      id: supposedCrewId(crew.code),
      availableUntil: null,
      absences: [],
      tanksBuilt: 0,
      practisedAfterTanks: 0,
      learningRatio: 1,
      begunCount: 0,
      lastVillageId: null,
    }),
  );
  return [...known, ...extra];
}

/** Id of a crew that only a what-if has. */
export const supposedCrewId = (crewCode: string) => `supposed:${crewCode}`;
export const isSupposed = (crewId: string) => crewId.startsWith('supposed:');

/** First days of single stages of a build, from materials that are supposed to come late. */
export function supposedReleases(
  build: { readonly villageId: string },
  stageCodes: readonly string[],
  assumptions: SeasonAssumptions | undefined,
  days: SeasonDays,
): NonNullable<SeasonBuild['stageReleases']> {
  const releases = new Map<string, number>();
  for (const late of assumptions?.lateMaterials ?? []) {
    if (late.villageIds && !late.villageIds.includes(build.villageId)) continue;
    const day = Math.max(0, days.dayOf(late.notBeforeOn));
    for (const code of late.stageCodes ?? stageCodes) {
      if (stageCodes.includes(code)) releases.set(code, Math.max(day, releases.get(code) ?? 0));
    }
  }
  return [...releases].map(([stageCode, day]) => ({ stageCode, day }));
}

export const supposedPins = (assumptions: SeasonAssumptions | undefined): PinToPlan[] =>
  (assumptions?.pins ?? []).map((pin, index) => ({ id: `supposed:${index}`, ...pin }));

/** Names of crews and builds that a what-if speaks of and the season does not have. */
export function unknownReferences(
  assumptions: SeasonAssumptions,
  known: { readonly crewIds: ReadonlySet<string>; readonly buildIds: ReadonlySet<string> },
): FieldError[] {
  const faults: FieldError[] = [];
  const check = (pointer: string, id: string | null, ids: ReadonlySet<string>) => {
    if (id === null || ids.has(id)) return;
    const message = 'is not of this programme';
    faults.push({ pointer, code: 'reference.unknown', message, rejectedValue: id });
  };
  assumptions.crewsAway.forEach(({ crewId }, at) => {
    check(`/assumptions/crewsAway/${at}/crewId`, crewId, known.crewIds);
  });
  assumptions.pins.forEach(({ buildId, crewId }, at) => {
    check(`/assumptions/pins/${at}/buildId`, buildId, known.buildIds);
    check(`/assumptions/pins/${at}/crewId`, crewId, known.crewIds);
  });
  return faults;
}
