import { newTankKind, tankKind, tankKindPatch } from '../../../shared/contract/tank-kind.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import type { TankKinds } from './use-cases.ts';

/** Kinds of tank: take-off recipe and stages, as data. */
export function tankKindRoutes(routes: Routes, tankKinds: TankKinds): void {
  documentRoutes(routes, {
    path: '/tank-kinds',
    names: ['TankKind', 'TankKinds'],
    tag: 'Tank designs',
    read: 'designs:read',
    write: 'designs:write',
    item: tankKind,
    create: newTankKind,
    patch: tankKindPatch,
    ...tankKinds,
  });
}
