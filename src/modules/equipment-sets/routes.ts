import {
  type EquipmentSet,
  type EquipmentSetPatch,
  equipmentSet,
  equipmentSetFilters,
  equipmentSetPatch,
  type NewEquipmentSet,
  newEquipmentSet,
} from '../../../shared/contract/equipment-set.ts';
import { type DocumentStore, documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';

/** Equipment that the stages of a programme's builds hold while they go on. */
export function equipmentSetRoutes(
  routes: Routes,
  store: DocumentStore<EquipmentSet, NewEquipmentSet, EquipmentSetPatch>,
): void {
  documentRoutes(routes, {
    path: '/equipment-sets',
    names: ['EquipmentSet', 'EquipmentSets'],
    tag: 'Crews',
    read: 'builds:read',
    write: 'builds:write',
    item: equipmentSet,
    create: newEquipmentSet,
    patch: equipmentSetPatch,
    filters: equipmentSetFilters,
    store,
  });
}
