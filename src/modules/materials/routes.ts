import {
  material,
  materialFilters,
  materialPatch,
  newMaterial,
} from '../../../shared/contract/material.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import type { Materials } from './use-cases.ts';

/** Materials: what tanks are built of, each counted in one unit. */
export function materialRoutes(routes: Routes, materials: Materials): void {
  documentRoutes(routes, {
    path: '/materials',
    names: ['Material', 'Materials'],
    tag: 'Materials',
    read: 'materials:read',
    write: 'materials:write',
    item: material,
    create: newMaterial,
    patch: materialPatch,
    filters: materialFilters,
    store: materials.store,
    guardEdit: materials.guardEdit,
  });
}
