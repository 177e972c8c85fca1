import { z } from 'zod';
import {
  email,
  invitedPerson,
  newPerson,
  person,
  personPatch,
} from '../../../shared/contract/person.ts';
import { byId } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, sealCursor } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { People } from './use-cases.ts';

const tag = 'People';

/** The people of the organisation, their roles and whether they may sign in. */
export function peopleRoutes(routes: Routes, people: People): void {
  routes.route({
    method: 'GET',
    url: '/people',
    operationId: 'listPeople',
    tag,
    summary: 'List people by e-mail',
    permission: 'people:read',
    query: z.strictObject({ ...pageQuery, email: email.optional() }),
    response: pageOf(person),
    async handle(tx, { query: { limit, cursor, ...filter } }) {
      const list = `/people?${JSON.stringify(filter)}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const { items, lastKey } = await people.store.list(tx, { limit, after, filter });
      return { body: { items, nextCursor: lastKey && sealCursor(tx.actor, list, lastKey) } };
    },
  });
  routes.route({
    method: 'GET',
    url: '/people/:id',
    operationId: 'getPerson',
    tag,
    summary: 'Read one person',
    permission: 'people:read',
    params: byId,
    response: person,
    async handle(tx, { params }) {
      const found = await people.store.get(tx, params.id);
      return { body: found, version: found.version };
    },
  });
  routes.route({
    method: 'POST',
    url: '/people',
    operationId: 'createPerson',
    tag,
    summary: 'Make a person; the answer holds the invitation, whose token is shown this once',
    permission: 'people:write',
    body: newPerson,
    response: invitedPerson,
    status: 201,
    withoutSecret: (made) => ({ ...made, invitation: { ...made.invitation, token: null } }),
    async handle(tx, { body }) {
      const made = await people.create(tx, body);
      return { body: made, location: `/v1/people/${made.id}`, version: made.version };
    },
  });
  routes.route({
    method: 'PATCH',
    url: '/people/:id',
    operationId: 'editPerson',
    tag,
    summary: 'Change a person’s name, roles or access (JSON merge patch); takes effect at once',
    permission: 'people:write',
    params: byId,
    body: personPatch,
    versioned: true,
    response: person,
    async handle(tx, { params, body, version }) {
      const changed = await people.edit(tx, params.id, version, body);
      return { body: changed, version: changed.version };
    },
  });
}
