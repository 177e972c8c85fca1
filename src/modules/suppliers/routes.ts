import {
  type NewSupplier,
  newSupplier,
  type Supplier,
  type SupplierPatch,
  supplier,
  supplierPatch,
} from '../../../shared/contract/supplier.ts';
import { type DocumentStore, documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';

/** Who sells materials. */
export function supplierRoutes(
  routes: Routes,
  store: DocumentStore<Supplier, NewSupplier, SupplierPatch>,
): void {
  documentRoutes(routes, {
    path: '/suppliers',
    names: ['Supplier', 'Suppliers'],
    tag: 'Suppliers',
    read: 'materials:read',
    write: 'materials:write',
    item: supplier,
    create: newSupplier,
    patch: supplierPatch,
    store,
  });
}
