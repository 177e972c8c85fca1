import { v7 as uuidv7 } from 'uuid';
import type { MadeBuilds, NewBuilds } from '../../../shared/contract/build.ts';
import { addMoney, timesMoney, zeroMoney } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import {
  DomainError,
  type FieldError,
  invalidContent,
  notFound,
  ruleBroken,
} from '../../domain/errors.ts';
import { type BuildToInsert, insertBuilds, insertLines } from './bill-line-repository.ts';
import { findProgramme, findSites, type SiteForBuilding, takenCodes } from './repository.ts';
import {
  priceRevisions,
  type RevisionsForBuilding,
  requireApproved,
  requireShares,
} from './requirements.ts';

const MAX_CODE_LENGTH = 40;
/** Sites that a refusal spells out. */
const MAX_LISTED_ERRORS = 100;

export type ManyBuilds = (tx: Tx, programmeId: string, input: NewBuilds) => Promise<MadeBuilds>;

type SizedSite = SiteForBuilding & { readonly designRevisionId: string };

/** Makes builds at many sites in a few statements: all of them, or none. */
export async function buildMany(
  tx: Tx,
  revisionsForBuilding: RevisionsForBuilding,
  programmeId: string,
  input: NewBuilds,
): Promise<MadeBuilds> {
  const { pricedOn, grantShares, codePrefix } = input;
  const programme = await findProgramme(tx, programmeId);
  if (!programme) throw notFound('programme', programmeId);
  const { currency } = programme;
  await requireShares(tx, programmeId, grantShares);
  const sites = await sitesToBuild(tx, programmeId, input.siteIds ?? null);
  const revisionIds = [...new Set(sites.map(({ designRevisionId }) => designRevisionId))];
  const revisions = await revisionsForBuilding(tx, revisionIds);
  requireApproved(revisionIds, revisions, input.siteIds ? '/siteIds' : '/allSized');
  const priced = await priceRevisions(tx, [...revisions.values()], pricedOn, currency);
  const builds = sites.map(
    (site): BuildToInsert => ({
      id: uuidv7(),
      code: `${codePrefix}${site.code}`,
      programmeId,
      siteId: site.id,
      villageId: site.villageId,
      designRevisionId: site.designRevisionId,
      tankKindId: revisions.get(site.designRevisionId)?.tankKindId ?? '',
      crewId: null,
      plannedStartOn: null,
      earliestStartOn: null,
      dueOn: null,
      pricedOn,
    }),
  );
  await requireFreeCodes(tx, builds);
  await insertBuilds(tx, builds, grantShares);
  const made: MadeBuilds = {
    programmeId,
    createdCount: builds.length,
    pricedOn,
    amount: zeroMoney(currency),
    inKindAmount: zeroMoney(currency),
    byDesign: [],
  };
  for (const [designRevisionId, { lines, amount, inKindAmount }] of priced) {
    const ids = builds
      .filter((build) => build.designRevisionId === designRevisionId)
      .map(({ id }) => id);
    await insertLines(tx, ids, lines, currency);
    made.amount = addMoney(made.amount, timesMoney(amount, ids.length));
    made.inKindAmount = addMoney(made.inKindAmount, timesMoney(inKindAmount, ids.length));
    made.byDesign.push({
      designRevisionId,
      buildCount: ids.length,
      amountPerBuild: amount,
      inKindAmountPerBuild: inKindAmount,
    });
  }
  await tx.audit('create-builds', 'programme', programmeId, {
    codePrefix,
    pricedOn,
    grantShares,
    createdCount: builds.length,
  });
  return made;
}

async function sitesToBuild(
  tx: Tx,
  programmeId: string,
  siteIds: readonly string[] | null,
): Promise<SizedSite[]> {
  const found = await findSites(tx, programmeId, siteIds);
  if (siteIds) requireReady(siteIds, found);
  const ready = found.filter(
    (site): site is SizedSite => site.designRevisionId !== null && site.liveBuildCode === null,
  );
  if (ready.length > 0) return ready;
  throw ruleBroken(
    'no-site-to-build',
    'No site of the programme has a design by its latest sizing and no build yet.',
  );
}

/** Refuses named sites that are not there, have a build, or have no design. */
function requireReady(siteIds: readonly string[], found: readonly SiteForBuilding[]): void {
  const siteById = new Map(found.map((site) => [site.id, site]));
  const seen = new Set<string>();
  const errors = siteIds.flatMap((id, index): FieldError[] => {
    const fault = siteFault(siteById.get(id), seen.has(id));
    seen.add(id);
    return fault ? [{ pointer: `/siteIds/${index}`, ...fault, rejectedValue: id }] : [];
  });
  if (errors.length === 0) return;
  const listed = errors.slice(0, MAX_LISTED_ERRORS);
  if (errors.some(({ code }) => code === 'reference.unknown' || code === 'site.repeated')) {
    throw invalidContent(listed);
  }
  throw ruleBroken(
    'sites-not-ready',
    `${errors.length} of ${siteIds.length} sites cannot be built; nothing was made.`,
    listed,
  );
}

function siteFault(site: SiteForBuilding | undefined, isRepeated: boolean) {
  if (!site) {
    return { code: 'reference.unknown', message: 'names no site of this programme' };
  }
  if (isRepeated) return { code: 'site.repeated', message: `${site.code} is named twice` };
  if (site.liveBuildCode) {
    return { code: 'site.has-build', message: `${site.code} has build ${site.liveBuildCode}` };
  }
  if (site.refusal) {
    return { code: 'site.refused', message: `${site.code} gets no tank: ${site.refusal}` };
  }
  return site.designRevisionId
    ? null
    : { code: 'site.not-sized', message: `${site.code} was not sized yet` };
}

async function requireFreeCodes(tx: Tx, builds: readonly BuildToInsert[]): Promise<void> {
  const codes = builds.map(({ code }) => code);
  const tooLong = codes.find((code) => code.length > MAX_CODE_LENGTH);
  if (tooLong) {
    const message = `makes codes of more than ${MAX_CODE_LENGTH} characters, such as ${tooLong}`;
    throw invalidContent([{ pointer: '/codePrefix', code: 'code.too-long', message }]);
  }
  const taken = await takenCodes(tx, codes);
  if (taken.length === 0) return;
  throw new DomainError('conflict', {
    detail: `There are builds with these codes already: ${taken.join(', ')}. Choose another codePrefix.`,
  });
}
