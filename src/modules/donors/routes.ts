import {
  type Donor,
  type DonorPatch,
  donor,
  donorPatch,
  type NewDonor,
  newDonor,
} from '../../../shared/contract/donor.ts';
import { type DocumentStore, documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';

/** Who pays for tanks. */
export function donorRoutes(
  routes: Routes,
  store: DocumentStore<Donor, NewDonor, DonorPatch>,
): void {
  documentRoutes(routes, {
    path: '/donors',
    names: ['Donor', 'Donors'],
    tag: 'Donors',
    read: 'money:read',
    write: 'money:write',
    item: donor,
    create: newDonor,
    patch: donorPatch,
    store,
  });
}
