import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { listOrder } from '../../shared/scheduling/list-order.ts';
import { projectNetwork } from '../../shared/scheduling/project-network.ts';
import type { ProjectInput } from '../../shared/scheduling/project-types.ts';
import { scheduleBounds } from '../../shared/scheduling/schedule-bounds.ts';
import { scheduleDays, scheduleGenerator } from '../../shared/scheduling/schedule-generator.ts';
import { searchSchedule } from '../../shared/scheduling/schedule-search.ts';
import { seededRandom } from '../../shared/scheduling/seeded-random.ts';
import { startLists } from '../../shared/scheduling/start-lists.ts';
import { printBenchLine } from './bench-line.ts';
import { madeProject } from './made-project.ts';
import { readSmFile } from './sm-file.ts';

const BUDGETS = [5_000, 50_000] as const;
/** Generated projects are measured at the first budget: a few seconds a set. */
const MADE_BUDGETS = [5_000] as const;

interface Instance {
  readonly name: string;
  readonly project: ProjectInput;
  /** What the mean deviation is counted from; the critical path unless given. */
  readonly optimum: number | null;
  readonly bestKnown: number | null;
}

/**
 * Schedules per second and mean deviation of the season's search. With `--instances FOLDER` on the
 * `.sm` files of its folders, one set each, held against `<set>-bounds.csv` where it lies beside
 * them; otherwise on generated projects. Baseline of deviations: one pass by latest finish.
 */
export function benchSeason(options: readonly string[]): void {
  const at = options.indexOf('--instances');
  const folder = at < 0 ? undefined : options[at + 1];
  if (at >= 0 && folder === undefined) throw new Error('--instances needs a folder');
  if (folder === undefined) {
    for (const activities of [30, 60, 120]) {
      measure(`made-${activities}`, madeInstances(activities), MADE_BUDGETS, 'bound');
    }
    return;
  }
  const sets = readdirSync(folder, { withFileTypes: true }).filter((one) => one.isDirectory());
  const found = sets.length > 0 ? sets.map(({ name }) => join(folder, name)) : [folder];
  for (const path of found.sort((a, b) => size(a) - size(b))) {
    const instances = readInstances(path);
    const isProved = instances.length > 0 && instances.every(({ optimum }) => optimum !== null);
    const base = isProved ? 'optimum' : 'critical path';
    if (instances.length > 0) measure(basename(path), instances, BUDGETS, base);
  }
}

const size = (path: string): number => Number(/\d+/.exec(basename(path))?.[0] ?? 0);

function readInstances(path: string): Instance[] {
  const table = `${path}-bounds.csv`;
  const known = new Map<string, { optimum: number; best: number }>();
  if (existsSync(table)) {
    const [head = '', ...lines] = readFileSync(table, 'utf8').trim().split(/\r?\n/);
    const columns = head.split(',');
    for (const line of lines) {
      const cells = line.split(',');
      const cell = (column: string) => Number(cells[columns.indexOf(column)]);
      known.set(cells[0] ?? '', { optimum: cell('optimum_or_0'), best: cell('upper_bound') });
    }
  }
  return readdirSync(path)
    .filter((name) => name.endsWith('.sm'))
    .sort()
    .map((name) => {
      const of = known.get(name);
      return {
        name,
        project: readSmFile(readFileSync(join(path, name), 'utf8')),
        optimum: of !== undefined && of.optimum > 0 ? of.optimum : null,
        bestKnown: of?.best ?? null,
      };
    });
}

/** A full design of complexity, resource factor and strength: 48 projects, or 60 of 120 activities. */
function madeInstances(activities: number): Instance[] {
  const strengths = activities < 100 ? [0.2, 0.5, 0.7, 1] : [0.1, 0.2, 0.3, 0.4, 0.5];
  const made: Instance[] = [];
  for (const networkComplexity of [1.5, 1.8, 2.1]) {
    for (const resourceFactor of [0.25, 0.5, 0.75, 1]) {
      for (const resourceStrength of strengths) {
        const seed = 1_000 * activities + made.length;
        const drawn = { activities, networkComplexity, resourceFactor, resourceStrength, seed };
        made.push({
          name: `made ${seed}`,
          project: madeProject(drawn),
          optimum: null,
          bestKnown: null,
        });
      }
    }
  }
  return made;
}

type Base = 'optimum' | 'critical path' | 'bound';

function measure(
  set: string,
  instances: readonly Instance[],
  budgets: readonly number[],
  base: Base,
): void {
  const networks = instances.map(({ project }) => projectNetwork(project));
  const bounds = networks.map(scheduleBounds);
  const from = instances.map(({ optimum }, at) => {
    const own = bounds[at];
    if (base === 'optimum' && optimum !== null) return optimum;
    return (base === 'bound' ? own?.lowerBoundDays : own?.criticalPathDays) ?? 0;
  });
  const deviation = (days: readonly number[]) =>
    days.reduce((sum, finished, at) => sum + (100 * finished) / (from[at] ?? 1) - 100, 0) /
    days.length;
  const onePass = deviation(
    networks.map((network) => {
      const order = listOrder(network);
      const list = order.base.slice();
      startLists(network, order, seededRandom(1)).byLatestFinish(list);
      return scheduleGenerator(network).forward(list, scheduleDays(network));
    }),
  );
  const held = `${instances.length} projects; ${base === 'bound' ? 'generated' : 'read'}`;
  const tight = bounds.filter((one) => one.lowerBoundDays > one.criticalPathDays).length;
  for (const schedules of budgets) {
    let generated = 0;
    const startedAt = process.hrtime.bigint();
    const found = networks.map((network) => searchSchedule(network, { schedules, seed: 1 }));
    const seconds = Number(process.hrtime.bigint() - startedAt) / 1e9;
    for (const { schedulesGenerated } of found) generated += schedulesGenerated;
    const under = found.filter((one) => one.finishedDay < one.bounds.lowerBoundDays).length;
    if (under > 0) throw new Error(`${under} plans of ${set} lie below their bound`);
    const optimal = found.filter(({ status }) => status === 'optimal').length;
    const known = instances.filter(({ bestKnown }) => bestKnown !== null).length;
    const reached = found.filter(
      ({ finishedDay }, at) => finishedDay <= (instances[at]?.bestKnown ?? -1),
    ).length;
    printBenchLine({
      name: `season-${set}-${schedules}-deviation`,
      value: deviation(found.map(({ finishedDay }) => finishedDay)),
      unit: '%',
      baseline: onePass,
      note: `mean above the ${base}; ${held}; ${optimal} at their bound, which is above the critical path for ${tight}${known > 0 ? `; ${reached} of ${known} at the best known` : ''}; baseline: one serial pass by latest finish`,
    });
    printBenchLine({
      name: `season-${set}-${schedules}-speed`,
      value: generated / seconds,
      unit: 'schedules/s',
      baseline: null,
      note: `${held}; every serial pass counts, ${(seconds / instances.length).toFixed(3)} s a project`,
    });
  }
}
