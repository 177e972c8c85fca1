import type { ProjectInput } from '../../shared/scheduling/project-types.ts';

/**
 * Reads a single-mode project in the `.sm` form of Kolisch and Sprecher (1996): precedence rows
 * `job modes successors …`, request rows `job mode duration r1 …`, then the capacities. Source and
 * sink are kept as milestones.
 */
export function readSmFile(text: string): ProjectInput {
  const lines = text.split(/\r?\n/);
  const numbersAfter = (title: string, skipped: number): number[][] => {
    const at = lines.findIndex((line) => line.startsWith(title));
    if (at < 0) throw new Error(`The file has no section ${title}`);
    const rows: number[][] = [];
    for (const line of lines.slice(at + 1 + skipped)) {
      if (!/^[\s\d]+$/.test(line) || line.trim() === '') break;
      rows.push(line.trim().split(/\s+/).map(Number));
    }
    return rows;
  };
  const precedence = numbersAfter('PRECEDENCE RELATIONS', 1);
  const requests = numbersAfter('REQUESTS/DURATIONS', 2);
  const [capacities = []] = numbersAfter('RESOURCEAVAILABILITIES', 1);
  if (precedence.length === 0 || precedence.length !== requests.length) {
    throw new Error(`The file names ${precedence.length} jobs and requests of ${requests.length}`);
  }
  const before = new Map<number, number[]>();
  for (const [job = 0, , , ...successors] of precedence) {
    for (const successor of successors) {
      before.set(successor, [...(before.get(successor) ?? []), job]);
    }
  }
  return {
    resources: capacities.map((capacity, at) => ({ id: `R${at + 1}`, capacity })),
    activities: requests.map(([job = 0, , duration = 0, ...counts]) => ({
      id: String(job),
      durationDays: duration,
      requires: counts
        .map((count, at) => ({ resourceId: `R${at + 1}`, count }))
        .filter(({ count }) => count > 0),
      after: (before.get(job) ?? []).map((other) => ({ activityId: String(other) })),
    })),
  };
}
