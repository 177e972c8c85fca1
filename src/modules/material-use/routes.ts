import { z } from 'zod';
import {
  buildMaterials,
  consumptionQuery,
  materialConsumption,
} from '../../../shared/contract/material-use.ts';
import { byId } from '../../../shared/contract/values.ts';
import { pageOf, pageQuery } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { MaterialUse } from './use-cases.ts';

const tag = 'Stock';

/** Bill against use: of one build in whole packs, of a programme by build, crew or material. */
export function materialUseRoutes(routes: Routes, use: MaterialUse): void {
  routes.route({
    method: 'GET',
    url: '/builds/:id/materials',
    operationId: 'listMaterialsOfBuild',
    tag,
    summary: 'What a build needs, was issued, returned, and is to bring back, in whole packs too',
    permission: 'stock:read',
    params: byId,
    response: buildMaterials,
    handle: async (tx, { params }) => ({ body: await use.ofBuild(tx, params.id) }),
  });
  routes.route({
    method: 'GET',
    url: '/programmes/:id/material-consumption',
    operationId: 'listMaterialConsumption',
    tag,
    summary:
      'Bill against use by build, crew or material, with the waste that finished builds teach',
    permission: 'stock:read',
    params: byId,
    query: z.strictObject({ ...pageQuery, ...consumptionQuery }),
    response: pageOf(materialConsumption),
    handle: async (tx, { params, query }) => ({
      body: await use.ofProgramme(tx, params.id, query),
    }),
  });
}
