import type { Nonconformity } from '../../../shared/contract/nonconformity.ts';
import type { Tx } from '../../db/database.ts';
import { notFound } from '../../domain/errors.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';
import { hasBuild, listNonconformities, type NonconformityFilters } from './repository.ts';

interface PageAsked {
  readonly limit: number;
  readonly cursor?: string | undefined;
}

export interface Nonconformities {
  /** What did not pass across the season, oldest first. */
  list(tx: Tx, filters: NonconformityFilters, page: PageAsked): Promise<Page<Nonconformity>>;
  /** What did not pass of one build. */
  ofBuild(tx: Tx, buildId: string, page: PageAsked): Promise<Page<Nonconformity>>;
}

export function createNonconformities(): Nonconformities {
  async function list(tx: Tx, filters: NonconformityFilters, { limit, cursor }: PageAsked) {
    const { programmeId, villageId, buildId, state, dueBefore } = filters;
    const key = [programmeId, villageId, buildId, state, dueBefore].map((part) => part ?? '');
    const name = `/nonconformities?${key.join('&')}`;
    const after = cursor === undefined ? null : openCursor(tx.actor, name, cursor);
    const rows = await listNonconformities(tx, filters, after, limit);
    const keyOf = (row: Nonconformity) => [row.observedOn, row.recordId];
    return toPage(tx.actor, name, rows, limit, keyOf, (row) => row);
  }
  return {
    list,
    async ofBuild(tx, buildId, page) {
      if (!(await hasBuild(tx, buildId))) throw notFound('build', buildId);
      return list(tx, { buildId }, page);
    },
  };
}
