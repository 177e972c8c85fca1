import type { Build, BuildStatus } from '../../../shared/contract/build.ts';
import type { Village } from '../../../shared/contract/village.ts';
import { plain } from '../language/plain.ts';

/** What a coordinator wants to see of a season; empty texts leave nothing out. */
export interface SeasonFilter {
  readonly status: string;
  readonly villageId: string;
  readonly crewId: string;
  readonly text: string;
}

export interface VillageRow {
  readonly villageId: string;
  readonly villageName: string;
  readonly district: string;
  /** Fullest first, so that the row shows how far the village is. */
  readonly builds: readonly Build[];
  readonly heldBuilds: readonly Build[];
  readonly lateBuilds: readonly Build[];
  readonly capacityL: number;
  readonly handedOverL: number;
}

/** True when the build should be under way, or done, by now and is not. */
export function isLate(build: Build, today: string): boolean {
  if (build.status === 'planned')
    return build.plannedStartOn !== null && build.plannedStartOn < today;
  const isOpen = build.status === 'started' || build.status === 'on-hold';
  return isOpen && build.dueOn !== null && build.dueOn < today;
}

/** The builds that a filter leaves: text is sought in code, site, village and design. */
export function filtered(
  builds: readonly Build[],
  { status, villageId, crewId, text }: SeasonFilter,
  today: string,
): Build[] {
  const words = plain(text).split(/\s+/).filter(Boolean);
  return builds.filter(
    (build) =>
      (status === '' || (status === 'late' ? isLate(build, today) : build.status === status)) &&
      (villageId === '' || build.villageId === villageId) &&
      (crewId === '' || build.crewId === crewId) &&
      words.every((word) => textOf(build).includes(word)),
  );
}

const texts = new WeakMap<Build, string>();

function textOf(build: Build): string {
  const known = texts.get(build);
  if (known !== undefined) return known;
  const text = plain(`${build.code} ${build.siteCode} ${build.villageName} ${build.designCode}`);
  texts.set(build, text);
  return text;
}

/** The builds as rows of villages, by name. Cancelled builds show, but hold no water. */
export function villageRows(
  builds: readonly Build[],
  villageById: ReadonlyMap<string, Village>,
  today: string,
): VillageRow[] {
  const byVillage = new Map<string, Build[]>();
  for (const build of builds) {
    const row = byVillage.get(build.villageId);
    if (row) row.push(build);
    else byVillage.set(build.villageId, [build]);
  }
  const rows = [...byVillage].map(([villageId, row]): VillageRow => {
    const counted = row.filter(({ status }) => status !== 'cancelled');
    return {
      villageId,
      villageName: row[0]?.villageName ?? '',
      district: villageById.get(villageId)?.district ?? '',
      builds: row.sort(fullestFirst),
      heldBuilds: row.filter(({ status }) => status === 'on-hold'),
      lateBuilds: row.filter((build) => isLate(build, today)),
      capacityL: litres(counted),
      handedOverL: litres(counted.filter(({ status }) => status === 'handed-over')),
    };
  });
  return rows.sort((a, b) => a.villageName.localeCompare(b.villageName));
}

const RANKS: readonly BuildStatus[] = [
  'handed-over',
  'complete',
  'started',
  'on-hold',
  'planned',
  'cancelled',
];

const rank = (build: Build) =>
  build.status === 'on-hold' ? RANKS.indexOf('started') : RANKS.indexOf(build.status);

const fullestFirst = (a: Build, b: Build) =>
  rank(a) - rank(b) || b.percentComplete - a.percentComplete || (a.code < b.code ? -1 : 1);

export const litres = (builds: readonly Build[]): number =>
  builds.reduce((sum, { capacityL }) => sum + capacityL, 0);
