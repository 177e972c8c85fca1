import type { FastifyInstance } from 'fastify';
import {
  invitationAcceptance,
  issuedInvitation,
  newInvitationAcceptance,
} from '../../../shared/contract/invitation.ts';
import { byId } from '../../../shared/contract/values.ts';
import { bareRoute } from '../../http/bare-route.ts';
import type { Routes } from '../../http/route.ts';
import type { Invitations } from './use-cases.ts';

const tag = 'People';

/** Inviting a person again. */
export function invitationRoutes(routes: Routes, invitations: Invitations): void {
  routes.route({
    method: 'POST',
    url: '/people/:id/invitations',
    operationId: 'invitePerson',
    tag,
    summary: 'Invite a person again, also to set a forgotten password; earlier invitations end',
    permission: 'people:write',
    params: byId,
    response: issuedInvitation,
    status: 201,
    withoutSecret: (made) => ({ ...made, token: null }),
    handle: async (tx, { params }) => ({ body: await invitations.invite(tx, params.id) }),
  });
}

/** Accepting an invitation, with its token instead of a credential. */
export function acceptanceRoutes(app: FastifyInstance, invitations: Invitations): void {
  bareRoute(app, {
    url: '/invitation-acceptances',
    operationId: 'acceptInvitation',
    tag,
    summary:
      'Set the password of an invited person; members of other organisations give the one they have',
    permission: 'public',
    body: newInvitationAcceptance,
    response: invitationAcceptance,
    handle: (body, request) =>
      invitations.accept(body, { address: request.ip, requestId: request.id }),
  });
}
