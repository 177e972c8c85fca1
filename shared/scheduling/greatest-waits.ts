import type { ProjectNetwork } from './project-network.ts';
import type { ScheduleDays } from './schedule-generator.ts';

/**
 * Raises the floors of activities whose followers came later than the greatest wait allows, by what
 * they are late.
 *
 * @returns whether any was raised: the schedule keeps every greatest wait that can be kept so
 * @source serial-generation repeated with later starts, our own way
 */
export function putOff(network: ProjectNetwork, days: ScheduleDays, floorDay: Int32Array): boolean {
  const { predecessors, fixedStartDay } = network;
  let isRaised = false;
  for (let activity = 0; activity < floorDay.length; activity += 1) {
    const end = predecessors.from[activity + 1] as number;
    for (let row = predecessors.from[activity] as number; row < end; row += 1) {
      const most = predecessors.maximumLagDays[row] as number;
      const before = predecessors.other[row] as number;
      if (most < 0 || (fixedStartDay[before] as number) >= 0) continue;
      const waited = (days.startDay[activity] as number) - (days.finishDay[before] as number);
      if (waited <= most) continue;
      const later = (days.startDay[before] as number) + waited - most;
      if (later > (floorDay[before] as number)) floorDay[before] = later;
      isRaised = true;
    }
  }
  return isRaised;
}
