import { addDays, daysBetween, isoWeekday } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { invalidContent, notFound } from '../../domain/errors.ts';
import { availableStock } from './available-stock.ts';
import {
  type BuildNeed,
  grossNeeds,
  type Horizon,
  type NeedsScope,
  needsByBuild,
  type UndatedBuilds,
  undatedBuilds,
} from './gross-needs.ts';
import { type NetNeed, netNeeds, type Transfer } from './net-needs.ts';
import {
  findPlannedProgramme,
  type PlannedProgramme,
  stageDueDates,
  workingDays,
} from './stage-due-dates.ts';

/** Needs are looked at week by week. */
export const PERIOD_DAYS = 7;
const LONGEST_HORIZON_PERIODS = 60;

export interface NeedsInput extends NeedsScope {
  readonly startsOn?: string | undefined;
  readonly periodCount?: number | undefined;
  readonly dueDaysBeforeStage: number;
}

/** The needs of a season in weeks, with what covers them without buying. */
export interface SeasonNeeds {
  readonly programme: PlannedProgramme;
  readonly horizon: Horizon & { readonly periodCount: number };
  readonly undated: UndatedBuilds;
  readonly needs: readonly NetNeed[];
  readonly transfers: readonly Transfer[];
  isWorkingDay(isoDate: string): boolean;
}

export interface MaterialNeeds {
  /** Netted needs within the weeks asked for. */
  season(tx: Tx, input: NeedsInput): Promise<SeasonNeeds>;
  /** Gross needs by build, in the same weeks. */
  byBuild(tx: Tx, input: NeedsInput): Promise<readonly BuildNeed[]>;
}

export function createMaterialNeeds(clock: Pick<Clock, 'today'>): MaterialNeeds {
  async function prepare(tx: Tx, input: NeedsInput) {
    const programme = await findPlannedProgramme(tx, input.programmeId);
    if (!programme) throw notFound('programme', input.programmeId);
    const horizon = horizonOf(programme, input, clock.today());
    const due = await stageDueDates(
      tx,
      input.programmeId,
      programme,
      input.dueDaysBeforeStage,
      input.moves,
    );
    return { programme, horizon, due };
  }

  return {
    async season(tx, input) {
      const { programme, horizon, due } = await prepare(tx, input);
      const gross = await grossNeeds(tx, { ...input, villageId: null }, due, horizon);
      const supplies = await availableStock(tx, input, horizon);
      const within = gross.filter(({ period }) => period <= horizon.periodCount);
      const { needs, transfers } = netNeeds(within, supplies);
      const isWanted = (villageId: string) =>
        input.villageId == null || villageId === input.villageId;
      return {
        programme,
        horizon,
        undated: await undatedBuilds(tx, input),
        // Villages share the stores, so all are netted even when one is asked for.
        needs: needs.filter(({ villageId }) => isWanted(villageId)),
        transfers: transfers.filter(({ toVillageId }) => isWanted(toVillageId)),
        isWorkingDay: workingDays(programme),
      };
    },
    async byBuild(tx, input) {
      const { horizon, due } = await prepare(tx, input);
      const rows = await needsByBuild(tx, input, due, horizon);
      return rows.filter(({ period }) => period <= horizon.periodCount);
    },
  };
}

function horizonOf(
  programme: PlannedProgramme,
  { startsOn: asked, periodCount, dueDaysBeforeStage }: NeedsInput,
  today: string,
) {
  const startsOn = asked ?? addDays(today, 1 - isoWeekday(today));
  if (startsOn > programme.endsOn) {
    throw invalidContent([
      {
        pointer: '/startsOn',
        code: 'date.out-of-range',
        message: `must not be after the end of the programme, ${programme.endsOn}`,
        rejectedValue: startsOn,
      },
    ]);
  }
  const untilEnd = Math.ceil((daysBetween(startsOn, programme.endsOn) + 1) / PERIOD_DAYS);
  return {
    startsOn,
    periodDays: PERIOD_DAYS,
    dueDaysBeforeStage,
    periodCount: periodCount ?? Math.min(untilEnd, LONGEST_HORIZON_PERIODS),
  };
}
