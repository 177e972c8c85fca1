import type { ListOrder } from './list-order.ts';
import type { ScheduleDays, ScheduleGenerator } from './schedule-generator.ts';

/** A list and the schedule that a pass made of it. */
export interface ListedSchedule extends ScheduleDays {
  /** Activities without a fixed start. */
  readonly list: Int32Array;
}

/**
 * Double justification: all activities to the right, the latest finish first, then to the left, the
 * earliest start first. Neither pass makes a schedule longer, nor later against its due days; a
 * schedule that keeps greatest waits may break them. Two passes.
 *
 * @param schedule feasible; its list and days are replaced
 * @param finishedDay day on which it is finished
 * @returns day on which the justified schedule is finished
 * @source double-justification
 */
export function justify(
  generator: ScheduleGenerator,
  order: ListOrder,
  schedule: ListedSchedule,
  finishedDay: number,
): number {
  const { network } = generator;
  const { list, startDay, finishDay } = schedule;
  order.byDay(list, finishDay);
  let ceilingDay: Int32Array | undefined;
  if (network.hasDueDays) {
    ceilingDay = network.dueDay.map((due, activity) =>
      due < 0 ? finishedDay : Math.max(due, finishDay[activity] as number),
    );
  }
  generator.backward(list, finishedDay, schedule, ceilingDay);
  order.byDay(list, startDay);
  return generator.forward(list, schedule);
}
