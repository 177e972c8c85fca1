import { z } from 'zod';
import { type AuditEntry, auditEntry } from '../../../shared/contract/audit-entry.ts';
import { id } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { ListAuditEntries } from './use-cases.ts';

const filters = {
  noun: z.string().max(60).optional(),
  recordId: z.string().max(200).optional(),
  personId: id.optional(),
};

/** Who did what, written in the transaction that did it; nobody can change or remove an entry. */
export function auditRoutes(routes: Routes, listAuditEntries: ListAuditEntries): void {
  routes.route({
    method: 'GET',
    url: '/audit-entries',
    operationId: 'listAuditEntries',
    tag: 'Audit',
    summary: 'List what was done, newest first',
    permission: 'audit:read',
    query: z.strictObject({ ...pageQuery, ...filters }),
    response: pageOf(auditEntry),
    async handle(tx, { query: { limit, cursor, ...filter } }) {
      const list = `/audit-entries?${JSON.stringify(filter)}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const found = await listAuditEntries(tx, filter, after, limit + 1);
      const keyOf = (entry: AuditEntry) => [entry.recordedAt, entry.id];
      return { body: toPage(tx.actor, list, found, limit, keyOf, (entry) => entry) };
    },
  });
}
