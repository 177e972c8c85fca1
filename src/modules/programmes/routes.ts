import { newProgramme, programme, programmePatch } from '../../../shared/contract/programme.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import type { Programmes } from './use-cases.ts';

/** Programmes: one season each, with its dates, currency and design rules. */
export function programmeRoutes(routes: Routes, programmes: Programmes): void {
  documentRoutes(routes, {
    path: '/programmes',
    names: ['Programme', 'Programmes'],
    tag: 'Programmes',
    read: 'programmes:read',
    write: 'programmes:write',
    item: programme,
    create: newProgramme,
    patch: programmePatch,
    store: programmes.store,
    guardEdit: programmes.guardEdit,
  });
}
