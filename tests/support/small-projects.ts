import fc from 'fast-check';
import type { ProjectInput } from '../../shared/scheduling/project-types.ts';

interface Shape {
  readonly most: number;
  readonly hasCalendars?: boolean;
  readonly hasReleases?: boolean;
  readonly hasMaximumLags?: boolean;
  readonly hasDueDays?: boolean;
  readonly hasFixedStarts?: boolean;
}

const whole = (min: number, max: number) => fc.integer({ min, max });
const onlyIf = <T>(isWanted: boolean | undefined, arbitrary: fc.Arbitrary<T>) =>
  isWanted ? fc.option(arbitrary, { nil: undefined }) : fc.constant(undefined);

const calendar = fc
  .array(fc.boolean(), { minLength: 7, maxLength: 12 })
  .filter((days) => days.slice(-7).includes(true));

/** Random projects with relations from earlier to later activities. */
export function smallProjects(shape: Shape): fc.Arbitrary<ProjectInput> {
  const activity = fc.record({
    durationDays: whole(0, 4),
    counts: fc.tuple(whole(0, 2), whole(0, 3)),
    links: fc.array(
      fc.record({
        back: whole(1, 4),
        lag: whole(0, 4),
        slack: onlyIf(shape.hasMaximumLags, whole(0, 5)),
      }),
      { maxLength: 3 },
    ),
    releaseDay: onlyIf(shape.hasReleases, whole(0, 6)),
    dueDay: onlyIf(shape.hasDueDays, whole(0, 14)),
    fixedStartDay: onlyIf(shape.hasFixedStarts, whole(0, 8)),
    calendarId: onlyIf(shape.hasCalendars, fc.constantFrom('one', 'other')),
  });
  return fc
    .record({
      capacities: fc.tuple(whole(2, 3), whole(3, 5)),
      calendars: fc.tuple(calendar, calendar),
      drawn: fc.array(activity, { minLength: 1, maxLength: shape.most }),
    })
    .map(({ capacities, calendars, drawn }) => ({
      resources: [
        { id: 'crew', capacity: capacities[0] },
        { id: 'mixer', capacity: capacities[1] },
      ],
      calendars: [
        { id: 'one', isWorkingDay: calendars[0] },
        { id: 'other', isWorkingDay: calendars[1] },
      ],
      activities: drawn.map(({ counts, links, ...rest }, at) => ({
        id: `a${at}`,
        ...rest,
        requires: [
          { resourceId: 'crew', count: counts[0] },
          { resourceId: 'mixer', count: counts[1] },
        ],
        after: links
          .filter(({ back }) => back <= at)
          .map(({ back, lag, slack }) => ({
            activityId: `a${at - back}`,
            minimumLagDays: lag,
            ...(slack === undefined ? {} : { maximumLagDays: lag + slack }),
          })),
      })),
    }));
}
