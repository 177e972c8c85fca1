import { standardDesigns } from '../../../shared/contract/design-revision.ts';
import { programme } from '../../../shared/contract/programme.ts';
import {
  newTankDesign,
  tankDesign,
  tankDesignFilters,
  tankDesignPatch,
} from '../../../shared/contract/tank-design.ts';
import { byId } from '../../../shared/contract/values.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import type { DesignRevisions } from './revision-use-cases.ts';
import { revisionRoutes } from './revisions-routes.ts';
import type { StandardDesigns } from './standard-designs.ts';
import type { TankDesigns } from './use-cases.ts';

export interface Designs {
  readonly designs: TankDesigns;
  readonly revisions: DesignRevisions;
  readonly standard: StandardDesigns;
}

/** Tank designs, their revisions, what engineers decide, and which of them a programme uses. */
export function designRoutes(routes: Routes, { designs, revisions, standard }: Designs): void {
  documentRoutes(routes, {
    path: '/tank-designs',
    names: ['TankDesign', 'TankDesigns'],
    tag: 'Tank designs',
    read: 'designs:read',
    write: 'designs:write',
    item: tankDesign,
    create: newTankDesign,
    patch: tankDesignPatch,
    filters: tankDesignFilters,
    ...designs,
  });
  revisionRoutes(routes, revisions);
  routes.route({
    method: 'PUT',
    url: '/programmes/:id/standard-designs',
    operationId: 'replaceStandardDesigns',
    tag: 'Programmes',
    summary: 'Say which approved design revisions the sites of a programme may get',
    permission: 'programmes:write',
    params: byId,
    body: standardDesigns,
    response: programme,
    async handle(tx, { params, body }) {
      const changed = await standard.replace(tx, params.id, body.designRevisionIds);
      return { body: changed, version: changed.version };
    },
  });
}
