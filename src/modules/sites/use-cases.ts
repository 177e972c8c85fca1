import type { NewSite, Site, SitePatch } from '../../../shared/contract/site.ts';
import {
  type ContactErased,
  type NewSiteContact,
  PERSONAL_FIELDS,
  type SiteContact,
} from '../../../shared/contract/site.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import type { Clock } from '../../domain/clock.ts';
import {
  DomainError,
  type FieldError,
  invalidContent,
  notFound,
  ruleBroken,
} from '../../domain/errors.ts';
import type { ContactStore } from './contact-repository.ts';

export interface Sites {
  readonly store: DocumentStore<Site, NewSite, SitePatch>;
  contact(tx: Tx, siteId: string): Promise<SiteContact>;
  /** Makes the contact, or replaces it when `version` is the one that was read; 0 makes it only. */
  putContact(tx: Tx, siteId: string, version: number, input: NewSiteContact): Promise<SiteContact>;
  /** Erases the personal data of a site, also from stored answers; the site stays. */
  eraseContact(tx: Tx, siteId: string): Promise<ContactErased>;
}

export function createSites(store: Sites['store'], contacts: ContactStore, clock: Clock): Sites {
  return {
    store,
    async contact(tx, siteId) {
      await store.get(tx, siteId);
      const found = await contacts.find(tx, siteId);
      if (!found) throw notFound('contact of site', siteId);
      return found;
    },
    async putContact(tx, siteId, version, input) {
      await store.get(tx, siteId);
      const contact = checkContact(input, clock.today());
      const current = await contacts.findForChange(tx, siteId);
      requireVersion(current, version);
      const kept = await contacts.put(tx, siteId, contact);
      await tx.audit(current ? 'edit' : 'create', 'site contact', siteId);
      return kept;
    },
    async eraseContact(tx, siteId) {
      await store.get(tx, siteId);
      const current = await contacts.findForChange(tx, siteId);
      if (!current) throw notFound('contact of site', siteId);
      await contacts.delete(tx, siteId);
      const purgedAnswerCount = await contacts.purgeAnswers(tx, textsOf(current));
      await tx.audit('erase', 'site contact', siteId, { purgedAnswerCount });
      return { siteId, isErased: true, purgedAnswerCount };
    },
  };
}

function checkContact(input: NewSiteContact, today: string): NewSiteContact {
  const given = PERSONAL_FIELDS.filter((field) => input[field] !== null);
  if (!input.consentGiven && (given.length > 0 || input.photoConsentGiven)) {
    throw ruleBroken(
      'consent-before-personal-data',
      'Nothing about a person is kept before that person has agreed: set consentGiven, or leave the data out.',
      given.map((field) => ({
        pointer: `/${field}`,
        code: 'consent.required',
        message: 'needs consentGiven',
      })),
    );
  }
  const errors: FieldError[] = [];
  if ((input.latDeg === null) !== (input.lonDeg === null)) {
    errors.push({
      pointer: input.latDeg === null ? '/latDeg' : '/lonDeg',
      code: 'field.missing',
      message: 'latitude and longitude come together',
    });
  }
  if (input.consentOn !== null && (!input.consentGiven || input.consentOn > today)) {
    errors.push({
      pointer: '/consentOn',
      code: 'date.out-of-range',
      message: input.consentGiven ? `must not lie after today, ${today}` : 'needs consentGiven',
      rejectedValue: input.consentOn,
    });
  }
  if (errors.length > 0) throw invalidContent(errors);
  return { ...input, consentOn: input.consentGiven ? (input.consentOn ?? today) : null };
}

function requireVersion(current: SiteContact | null, version: number): void {
  if (current && version === 0) throw new DomainError('precondition-required');
  if (version === (current?.version ?? 0)) return;
  throw new DomainError('stale-version', {
    detail: current
      ? `You changed version ${version}; the contact is at version ${current.version} now.`
      : 'There is no contact any more.',
    ...(current ? { extra: { currentEtag: `"v${current.version}"` } } : {}),
  });
}

/** Shortest text that is looked for in stored answers: shorter ones occur everywhere. */
const MIN_TRACE_LENGTH = 3;

/** The texts by which the person can be found, as they stand in stored JSON. */
const textsOf = ({ contactName, phone }: SiteContact): string[] =>
  [contactName, phone]
    .filter((text) => text !== null)
    .filter((text) => text.length >= MIN_TRACE_LENGTH)
    .map((text) => JSON.stringify(text).slice(1, -1));
