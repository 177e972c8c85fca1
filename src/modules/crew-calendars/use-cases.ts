import { createHash } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import type { CalendarFeed, IssuedCalendarFeed } from '../../../shared/contract/calendar-feed.ts';
import type { Database, Tx } from '../../db/database.ts';
import { DomainError, notFound } from '../../domain/errors.ts';
import { actorOfMembership } from '../../domain/identity.ts';
import { hashCredential } from '../../http/authenticate.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';
import { runInWorker } from '../../workers/pool.ts';
import { newFeedSecret, organisationOfSecret } from './feed-secret.ts';
import {
  type CrewToShow,
  crewOfLiveFeed,
  findCrewToShow,
  findFeed,
  insertFeed,
  listFeeds,
  revokeFeed,
  templatesOfKinds,
  workOfCrew,
} from './repository.ts';

/** Raised whenever the same work is written in another way. */
const LAYOUT = 1;
const WRITING = { timeoutMs: 20_000 };

export interface CrewCalendar {
  readonly crewCode: string;
  /** The same for the same text, and known before it is written. */
  readonly tag: string;
  write(): Promise<string>;
}

export interface CrewCalendars {
  /** Makes a feed; its address is answered this once. */
  issue(tx: Tx, crewId: string): Promise<IssuedCalendarFeed>;
  list(
    tx: Tx,
    crewId: string,
    page: { readonly limit: number; readonly cursor?: string | undefined },
  ): Promise<Page<CalendarFeed>>;
  revoke(tx: Tx, id: string): Promise<CalendarFeed>;
  calendar(tx: Tx, crewId: string): Promise<CrewCalendar>;
  /** The calendar behind a secret, for whoever has it. */
  byToken(token: string, requestId: string): Promise<CrewCalendar>;
}

export function createCrewCalendars(db: Database): CrewCalendars {
  async function requireCrew(tx: Tx, crewId: string): Promise<CrewToShow> {
    const crew = await findCrewToShow(tx, crewId);
    if (!crew) throw notFound('crew', crewId);
    return crew;
  }

  async function calendar(tx: Tx, crewId: string): Promise<CrewCalendar> {
    const crew = await requireCrew(tx, crewId);
    const work = await workOfCrew(tx, crew);
    const kinds = [...new Set(work.map(({ tankKindId }) => tankKindId))];
    const templates = await templatesOfKinds(tx, kinds);
    const parts = JSON.stringify([LAYOUT, crew, work, [...templates]]);
    return {
      crewCode: crew.code,
      tag: createHash('sha256').update(parts).digest('base64url'),
      write: () => runInWorker('write-calendar', { crew, work, templates }, WRITING),
    };
  }

  return {
    calendar,

    async issue(tx, crewId) {
      const crew = await requireCrew(tx, crewId);
      const token = newFeedSecret(tx.organisationId);
      const feed = await insertFeed(tx, {
        id: uuidv7(),
        crewId: crew.id,
        tokenSha256: hashCredential(token),
      });
      await tx.audit('create', 'calendar feed', feed.id, { crewId: crew.id });
      return { ...feed, address: `/v1/calendar-feeds/${token}/calendar.ics` };
    },

    async list(tx, crewId, { limit, cursor }) {
      await requireCrew(tx, crewId);
      const name = `calendar-feeds?${crewId}`;
      const after = cursor === undefined ? [] : openCursor(tx.actor, name, cursor);
      const rows = await listFeeds(tx, crewId, after, limit);
      const keyOf = (row: CalendarFeed) => [row.createdAt, row.id];
      return toPage(tx.actor, name, rows, limit, keyOf, (row) => row);
    },

    async revoke(tx, id) {
      const before = await findFeed(tx, id);
      const revoked = before && (await revokeFeed(tx, id));
      if (!revoked) throw notFound('calendar feed', id);
      if (before.revokedAt === null) await tx.audit('revoke', 'calendar feed', id, {});
      return revoked;
    },

    async byToken(token, requestId) {
      const organisationId = organisationOfSecret(token);
      if (organisationId === null) throw unknownFeed();
      return db.withTenant(readerOf(organisationId, requestId), async (tx) => {
        const crewId = await crewOfLiveFeed(tx, hashCredential(token));
        if (crewId === null) throw unknownFeed();
        return calendar(tx, crewId);
      });
    },
  };
}

/** Somebody with an address and nothing else: no person, no role. */
const readerOf = (organisationId: string, requestId: string) =>
  actorOfMembership(
    {
      organisationId,
      personId: organisationId,
      accountId: organisationId,
      name: 'calendar feed',
      roles: [],
      donorId: null,
    },
    requestId,
  );

/** One answer for unknown and revoked addresses. */
const unknownFeed = () =>
  new DomainError('not-found', {
    detail: 'This calendar address is unknown or revoked; ask for a new one.',
  });
