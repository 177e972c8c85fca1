import {
  type Crew,
  type CrewPatch,
  crew,
  crewFilters,
  crewPatch,
  type NewCrew,
  newCrew,
} from '../../../shared/contract/crew.ts';
import { type DocumentStore, documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';

/** The crews that build in a programme. */
export function crewRoutes(routes: Routes, store: DocumentStore<Crew, NewCrew, CrewPatch>): void {
  documentRoutes(routes, {
    path: '/crews',
    names: ['Crew', 'Crews'],
    tag: 'Crews',
    read: 'builds:read',
    write: 'builds:write',
    item: crew,
    create: newCrew,
    patch: crewPatch,
    filters: crewFilters,
    store,
  });
}
