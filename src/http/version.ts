import { DomainError } from '../domain/errors.ts';

/** Strong entity tag of a document's version. */
export const etagOf = (version: number) => `"v${version}"`;

/** The version that If-Match names. Throws `precondition-required` without one. */
export function versionFrom(ifMatch: string | undefined): number {
  if (ifMatch === undefined) throw new DomainError('precondition-required');
  const match = /^"v(\d{1,9})"$/.exec(ifMatch.trim());
  if (!match) {
    throw new DomainError('stale-version', {
      detail: `If-Match ${ifMatch} is not a tag of this record.`,
    });
  }
  return Number(match[1]);
}
