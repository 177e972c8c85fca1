import fc from 'fast-check';
import type { BuildSeason, SeasonStage } from '../../shared/scheduling/build-season.ts';

interface Shape {
  /** Most builds and most stages of a template. */
  readonly builds: number;
  readonly stages: number;
  readonly hasFacts?: boolean;
  readonly hasPins?: boolean;
  readonly hasMaximumWaits?: boolean;
  readonly hasCrewEnds?: boolean;
  readonly hasLearning?: boolean;
  /** Trades nobody has, stages too large for any crew, too little equipment. */
  readonly hasImpossible?: boolean;
}

const whole = (min: number, max: number) => fc.integer({ min, max });
const orNull = <T>(isWanted: boolean | undefined, arbitrary: fc.Arbitrary<T>) =>
  isWanted ? fc.option(arbitrary, { nil: null, freq: 2 }) : fc.constant(null);
const sometimes = <T>(isWanted: boolean | undefined, some: fc.Arbitrary<T[]>) =>
  isWanted ? fc.oneof({ weight: 2, arbitrary: fc.constant<T[]>([]) }, some) : fc.constant<T[]>([]);

const calendar = fc
  .array(fc.boolean(), { minLength: 7, maxLength: 10 })
  .map((days) => days.map((day, at) => day || at % 2 === 0));
const range = fc
  .record({ fromDay: whole(0, 6), days: whole(1, 3) })
  .map(({ fromDay, days }) => ({ fromDay, untilDay: fromDay + days }));

/** Random seasons of a village or two, a crew or two and a few builds. */
export function smallSeasons(shape: Shape): fc.Arbitrary<BuildSeason> {
  const mostPeople = shape.hasImpossible ? 6 : 4;
  const stage = fc.record({
    workDays: whole(1, 2),
    people: whole(1, mostPeople),
    trade: fc.constantFrom(null, 'mason', 'bamboo', ...(shape.hasImpossible ? ['diver'] : [])),
    isBlockedByRain: fc.boolean(),
    equipmentUnits: whole(0, shape.hasImpossible ? 2 : 1),
    links: fc.array(
      fc.record({
        back: whole(1, 2),
        minimum: whole(0, 3),
        slack: orNull(shape.hasMaximumWaits, whole(0, 2)),
      }),
      { maxLength: 2 },
    ),
  });
  const crew = fc.record({
    people: whole(2, 3),
    trades: fc.constantFrom([], ['mason'], ['bamboo'], ['mason', 'bamboo']),
    homeVillageId: fc.constantFrom(null, 'v0', 'v1'),
    fromDay: whole(0, 2),
    untilDay: orNull(shape.hasCrewEnds, whole(3, 9)),
    absences: fc.array(range, { maxLength: 1 }),
    learning: orNull(
      shape.hasLearning,
      fc.record({
        tanksBuilt: whole(0, 2),
        practisedAfterTanks: whole(1, 4),
        ratio: fc.constantFrom(0.7, 0.8, 1),
      }),
    ),
  });
  const build = fc.record({
    villageId: fc.constantFrom('v0', 'v1'),
    template: whole(0, 1),
    releaseDay: whole(0, 2),
    stageReleases: fc.array(fc.record({ place: whole(0, 2), day: whole(0, 4) }), { maxLength: 1 }),
    dueDay: fc.option(whole(2, 12), { nil: null }),
    facts: sometimes(
      shape.hasFacts,
      fc.array(
        fc.record({
          isDone: fc.boolean(),
          day: whole(-3, 1),
          remaining: whole(1, 2),
          crew: fc.option(whole(0, 1), { nil: null }),
          followed: fc.option(whole(0, 3), { nil: null }),
        }),
        { maxLength: 2 },
      ),
    ),
    pins: sometimes(
      shape.hasPins,
      fc.array(
        fc.record({
          place: fc.option(whole(0, 2), { nil: null }),
          crew: fc.option(whole(0, 1), { nil: null }),
          startDay: fc.option(whole(0, 7), { nil: null }),
        }),
        { maxLength: 2 },
      ),
    ),
  });
  return fc
    .record({
      calendars: fc.tuple(calendar, calendar),
      crews: fc.array(crew, { minLength: 1, maxLength: 2 }),
      units: whole(1, 2),
      templates: fc.tuple(
        fc.array(stage, { minLength: 1, maxLength: shape.stages }),
        fc.array(stage, { minLength: 1, maxLength: shape.stages }),
      ),
      builds: fc.array(build, { minLength: 1, maxLength: shape.builds }),
      road: whole(0, 2),
      rains: fc.array(range, { maxLength: 1 }),
    })
    .map(({ calendars, crews, units, templates, builds, road, rains }) => {
      const crewIds = crews.map((_, at) => `c${at}`);
      const stagesOf = templates.map((drawn) =>
        drawn.map(({ equipmentUnits, links, ...rest }, at): SeasonStage => {
          const people = shape.hasImpossible
            ? rest.people
            : Math.min(rest.people, ...crews.map((one) => one.people));
          // Someone has every trade unless the impossible is wanted.
          const isKnown = crews.every(
            ({ trades }) => trades.length === 0 || trades.some((one) => one === rest.trade),
          );
          return {
            ...rest,
            code: `s${at}`,
            people,
            trade: isKnown || shape.hasImpossible ? rest.trade : null,
            equipment: equipmentUnits > 0 ? [{ equipmentId: 'mould', units: equipmentUnits }] : [],
            after: [...new Map(links.map((link) => [link.back, link])).values()]
              .filter(({ back }) => back <= at)
              .map(({ back, minimum, slack }) => ({
                stageCode: `s${at - back}`,
                minimumWaitDays: minimum,
                maximumWaitDays: slack === null ? null : minimum + slack,
              })),
          };
        }),
      );
      return {
        villages: calendars.map((isWorkingDay, at) => ({ id: `v${at}`, isWorkingDay })),
        crews: crews.map((one, at) => ({ id: `c${at}`, ...one })),
        equipment: [{ id: 'mould', units }],
        templates: stagesOf.map((stages, at) => ({ id: `t${at}`, stages })),
        builds: builds.map(({ template, facts, pins, stageReleases, ...rest }, at) => {
          const stages = stagesOf[template] ?? [];
          const code = (place: number) => stages[place % stages.length]?.code ?? 's0';
          return {
            ...rest,
            id: `b${at}`,
            templateId: `t${template}`,
            stageReleases: stageReleases.map(({ place, day }) => ({ stageCode: code(place), day })),
            earlier: [],
            // Facts of the first stages, the last of them begun or done.
            facts: facts.slice(0, stages.length).map((fact, place) => {
              const crewId = crewIds[fact.crew ?? -1] ?? null;
              const stageCode = stages[place]?.code ?? 's0';
              const isLast = place === Math.min(facts.length, stages.length) - 1;
              return fact.isDone || !isLast
                ? {
                    stageCode,
                    kind: 'done' as const,
                    finishDay: fact.day,
                    crewId,
                    followedFromDay: fact.followed,
                  }
                : { stageCode, kind: 'begun' as const, remainingDays: fact.remaining, crewId };
            }),
            pins: pins.map(({ place, crew: by, startDay }, row) => ({
              id: `p${at}-${row}`,
              stageCode: place === null ? null : code(place),
              crewId: crewIds[by ?? -1] ?? null,
              startDay,
            })),
          };
        }),
        moveDays: [
          [0, road],
          [road, 0],
        ],
        rains,
      };
    });
}
