import { signal } from '@preact/signals';
import type { Build } from '../../../../shared/contract/build.ts';
import type { Crew } from '../../../../shared/contract/crew.ts';
import type { Material } from '../../../../shared/contract/material.ts';
import type { StockBalance } from '../../../../shared/contract/stock.ts';
import type { Store } from '../../../../shared/contract/store.ts';
import type { Changes } from '../../../../shared/contract/sync.ts';
import type { Page } from '../../api/addresses.ts';
import { read } from '../../api/client.ts';
import { inTurn } from '../../api/in-turn.ts';
import { Refusal } from '../../api/refusal.ts';
import { type Query, request } from '../../api/request.ts';
import { may } from '../../session/session.ts';
import { today } from '../../session/today.ts';
import { copy, dropCopies, keepCopy } from './copies.ts';
import { owner } from './owner.ts';
import { isForNow, progressById, type Season, season } from './season.ts';

/** Requests at the same time; a phone's connection carries few. */
const AT_ONCE = 3;

/** How far a refresh has come; null when none runs. */
export const refreshing = signal<{ readonly done: number; readonly total: number } | null>(null);

interface ReadState {
  readonly personId: string;
  readonly after: string | null;
}

/**
 * Brings the copies up to date: at first everything that the person may need, later only what the
 * feed of changes names.
 */
export async function refreshSeason(): Promise<void> {
  const personId = owner.value?.person.id;
  if (refreshing.value || personId === undefined) return;
  refreshing.value = { done: 0, total: 1 };
  try {
    const last = await copy<ReadState>('read-state');
    const isSame = last?.personId === personId;
    const changed = await changesSince(isSame ? last.after : null);
    const nouns = new Set(changed.items.map(({ noun }) => noun));
    const isFirst = !isSame || season.value.readAt === null || changed.isAnew;
    const needs = (...names: string[]) => isFirst || names.some((name) => nouns.has(name as never));
    const before = season.value;
    const readAt = new Date().toISOString();
    // Another day brings builds into reach that nobody changed.
    const isNewDay = before.readAt?.slice(0, 10) !== readAt.slice(0, 10);
    const next: Season = {
      builds: needs('build') || isNewDay ? await buildsForNow() : before.builds,
      crews: needs('crew') ? await allOf<Crew>('/crews', 'programmes:read') : before.crews,
      stores: needs('store') ? await allOf<Store>('/stores', 'places:read') : before.stores,
      materials: needs('material')
        ? await allOf<Material>('/materials', 'materials:read')
        : before.materials,
      balances: needs('stock-entry')
        ? await allOf<StockBalance>('/stock-balances', 'stock:read')
        : before.balances,
      readAt,
    };
    await keepCopy('season', next);
    season.value = next;
    const touched = new Set(changed.items.map(({ buildId }) => buildId));
    await readProgress(
      next.builds
        .filter((build) => isForNow(build, today()))
        .filter(({ id }) => isFirst || touched.has(id) || !progressById.value.has(id)),
    );
    await dropCopies('progress ', new Set(next.builds.map(({ id }) => `progress ${id}`)));
    await keepCopy('read-state', { personId, after: changed.next } satisfies ReadState);
  } finally {
    refreshing.value = null;
  }
}

async function readProgress(builds: readonly Build[]): Promise<void> {
  let done = 0;
  refreshing.value = { done, total: builds.length };
  await inTurn(builds, AT_ONCE, new AbortController().signal, async ({ id }) => {
    const progress = await read('/builds/:id/progress', { id });
    await keepCopy(`progress ${id}`, progress);
    progressById.value = new Map(progressById.value).set(id, progress);
    done += 1;
    refreshing.value = { done, total: builds.length };
  });
}

/** Where the feed of changes has come to before anything is read, so that nothing falls between. */
async function changesSince(
  after: string | null,
): Promise<{ items: Changes['items']; next: string | null; isAnew: boolean }> {
  const items: Changes['items'] = [];
  let next = after;
  let isAnew = false;
  for (;;) {
    let page: Changes;
    try {
      const query = next === null ? { from: 'now' } : { limit: 200, after: next };
      page = (await request<Changes>('GET', '/changes', { query })).body;
    } catch (error) {
      // Roles or database are others than before: the place in the feed means nothing any more.
      if (!(error instanceof Refusal) || error.status !== 422 || isAnew) throw error;
      isAnew = true;
      next = null;
      continue;
    }
    items.push(...page.items);
    next = page.next;
    if (!page.hasMore) return { items, next, isAnew };
  }
}

async function buildsForNow(): Promise<readonly Build[]> {
  const statuses = ['started', 'on-hold', 'complete', 'planned'];
  // Whoever inspects needs the tanks that are in use, too.
  if (may('inspections:write')) statuses.push('handed-over');
  const lists = await Promise.all(
    statuses.map((status) => allOf<Build>('/builds', 'builds:read', { status })),
  );
  return lists.flat().filter((build) => build.status === 'handed-over' || isForNow(build, today()));
}

async function allOf<Item>(
  path: string,
  permission: string,
  query: Query = {},
): Promise<readonly Item[]> {
  if (!may(permission)) return [];
  const items: Item[] = [];
  let cursor: string | null = null;
  do {
    const page: Page<Item> = (
      await request<Page<Item>>('GET', path, { query: { ...query, limit: 200, cursor } })
    ).body;
    items.push(...page.items);
    cursor = page.nextCursor;
  } while (cursor !== null);
  return items;
}
