import { randomBytes } from 'node:crypto';
import { parse, stringify } from 'uuid';

const SECRET_BYTES = 32;
const SECRET = /^([\w-]{22})\.[\w-]{43}$/;

/** A secret of 256 random bits behind the id of the organisation, whose rows alone it may open. */
export const newFeedSecret = (organisationId: string): string =>
  `${Buffer.from(parse(organisationId)).toString('base64url')}.${randomBytes(SECRET_BYTES).toString('base64url')}`;

/** The organisation that a secret names; null when it is none of ours. */
export function organisationOfSecret(secret: string): string | null {
  const [, encoded] = SECRET.exec(secret) ?? [];
  if (encoded === undefined) return null;
  try {
    return stringify(Buffer.from(encoded, 'base64url'));
  } catch {
    // Sixteen bytes that are no UUID.
    return null;
  }
}
