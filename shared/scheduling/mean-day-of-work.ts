import type { ProjectNetwork } from './project-network.ts';
import type { ScheduleDays } from './schedule-generator.ts';

/**
 * The mean day of work of schedules of a project, each activity weighing as much of the capacities as
 * it uses: of two plans as long, the one with the earlier mean leaves more room at its end.
 *
 * @source serial-generation a measure of our own
 */
export function meanDayOfWork(network: ProjectNetwork): (days: ScheduleDays) => number {
  const { durationDays, requestFrom, requestResource, requestCount, capacity } = network;
  let total = 0;
  const work = Float64Array.from(durationDays, (duration, activity) => {
    let sum = 0;
    const end = requestFrom[activity + 1] as number;
    for (let row = requestFrom[activity] as number; row < end; row += 1) {
      sum += (requestCount[row] as number) / (capacity[requestResource[row] as number] as number);
    }
    total += sum * duration;
    return sum * duration;
  });
  if (total === 0) return () => 0;
  return ({ startDay, finishDay }) => {
    let sum = 0;
    for (let activity = 0; activity < work.length; activity += 1) {
      const middle = (startDay[activity] as number) + (finishDay[activity] as number);
      sum += (work[activity] as number) * middle;
    }
    return sum / (2 * total);
  };
}
