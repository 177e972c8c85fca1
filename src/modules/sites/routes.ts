import {
  contactErased,
  newSite,
  newSiteContact,
  site,
  siteContact,
  sitePatch,
} from '../../../shared/contract/site.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { documentRoutes } from '../../http/document-routes.ts';
import type { Routes } from '../../http/route.ts';
import type { Sites } from './use-cases.ts';

/** Sites of a programme, and apart from them the contacts of the people there. */
export function siteRoutes(routes: Routes, sites: Sites): void {
  documentRoutes(routes, {
    path: '/sites',
    names: ['Site', 'Sites'],
    tag: 'Sites',
    read: 'sites:read',
    write: 'sites:write',
    item: site,
    create: newSite,
    patch: sitePatch,
    filters: { programmeId: id.optional(), villageId: id.optional() },
    store: sites.store,
  });
  routes.route({
    method: 'GET',
    url: '/sites/:id/contact',
    operationId: 'getSiteContact',
    tag: 'Sites',
    summary: 'Read the contact and the exact place of a site',
    permission: 'contacts:read',
    params: byId,
    response: siteContact,
    async handle(tx, { params }) {
      const contact = await sites.contact(tx, params.id);
      return { body: contact, version: contact.version };
    },
  });
  routes.route({
    method: 'PUT',
    url: '/sites/:id/contact',
    operationId: 'putSiteContact',
    tag: 'Sites',
    summary: 'Keep the contact of a site; to replace one, say with If-Match which version you read',
    permission: 'contacts:write',
    params: byId,
    body: newSiteContact,
    versioned: 'when-given',
    response: siteContact,
    async handle(tx, { params, body, version }) {
      const contact = await sites.putContact(tx, params.id, version, body);
      return { body: contact, version: contact.version };
    },
  });
  routes.route({
    method: 'DELETE',
    url: '/sites/:id/contact',
    operationId: 'eraseSiteContact',
    tag: 'Sites',
    summary: 'Erase the personal data of a site; the site itself stays',
    permission: 'contacts:write',
    params: byId,
    response: contactErased,
    async handle(tx, { params }) {
      return { body: await sites.eraseContact(tx, params.id) };
    },
  });
}
