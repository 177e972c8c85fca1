import { computed, signal } from '@preact/signals';
import type { Build } from '../../../../shared/contract/build.ts';
import type { Crew } from '../../../../shared/contract/crew.ts';
import type { Material } from '../../../../shared/contract/material.ts';
import type { BuildProgress } from '../../../../shared/contract/stage-record.ts';
import type { StockBalance } from '../../../../shared/contract/stock.ts';
import type { Store } from '../../../../shared/contract/store.ts';
import { addDays } from '../../../../shared/units/calendar.ts';
import { today } from '../../session/today.ts';
import { copy, keepCopy } from './copies.ts';

/** Days ahead whose planned builds are kept on the phone. */
export const DAYS_AHEAD = 14;

export interface Season {
  readonly builds: readonly Build[];
  readonly crews: readonly Crew[];
  readonly stores: readonly Store[];
  readonly materials: readonly Material[];
  readonly balances: readonly StockBalance[];
  /** The device's clock when the service was asked last. */
  readonly readAt: string | null;
}

const NOTHING: Season = {
  builds: [],
  crews: [],
  stores: [],
  materials: [],
  balances: [],
  readAt: null,
};

/** The season as the phone knows it. */
export const season = signal<Season>(NOTHING);
export const progressById = signal<ReadonlyMap<string, BuildProgress>>(new Map());

/** The crew that works with this phone; empty: all. */
export const crewId = signal('');

export async function chooseCrew(next: string): Promise<void> {
  crewId.value = next;
  await keepCopy('crew', next);
}

/** Work of the coming days: what has begun, and what is planned to begin. */
export const isForNow = (build: Build, day: string): boolean =>
  build.status === 'started' ||
  build.status === 'on-hold' ||
  build.status === 'complete' ||
  (build.status === 'planned' &&
    build.plannedStartOn !== null &&
    build.plannedStartOn <= addDays(day, DAYS_AHEAD));

/** Builds of the chosen crew: those at work first, then by the day on which they are to start. */
export const buildsOfCrew = computed(() =>
  season.value.builds
    .filter((build) => crewId.value === '' || build.crewId === crewId.value)
    .filter((build) => isForNow(build, today()))
    .toSorted((a, b) => rank(a).localeCompare(rank(b))),
);

const RANKS = { started: '0', 'on-hold': '0', planned: '1', complete: '2' } as const;
const rank = (build: Build) =>
  `${RANKS[build.status as keyof typeof RANKS] ?? '3'}${build.plannedStartOn ?? ''}${build.code}`;

/** Reads the copies of the last visit; no network is asked. */
export async function restoreSeason(): Promise<void> {
  season.value = (await copy<Season>('season')) ?? NOTHING;
  crewId.value = (await copy<string>('crew')) ?? '';
  const known = new Map<string, BuildProgress>();
  for (const { id } of season.value.builds) {
    const progress = await copy<BuildProgress>(`progress ${id}`);
    if (progress) known.set(id, progress);
  }
  progressById.value = known;
}
