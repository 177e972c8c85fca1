import { v7 as uuidv7 } from 'uuid';
import type { NewBuild } from '../../../shared/contract/build.ts';
import type { Tx } from '../../db/database.ts';
import { invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { insertBuilds, insertLines } from './bill-line-repository.ts';
import { findProgramme, findSites, type SiteForBuilding } from './repository.ts';
import {
  priceRevisions,
  type RevisionsForBuilding,
  requireApproved,
  requireShares,
} from './requirements.ts';

async function requireSite(tx: Tx, siteId: string): Promise<SiteForBuilding> {
  const [site] = await findSites(tx, null, [siteId]);
  if (site) return site;
  throw invalidContent([
    {
      pointer: '/siteId',
      code: 'reference.unknown',
      message: 'names a record that does not exist',
      rejectedValue: siteId,
    },
  ]);
}

function designOf(site: SiteForBuilding, given: string | undefined): string {
  const chosen = given ?? site.designRevisionId;
  if (chosen) return chosen;
  throw ruleBroken(
    'site-has-no-design',
    site.refusal
      ? `The latest sizing gave site ${site.code} no tank: ${site.refusal}. Name a designRevisionId to build all the same.`
      : `Site ${site.code} was not sized yet; size the programme or name a designRevisionId.`,
  );
}

/** One build with its bill. */
export const buildOne = {
  programmeIdOf: async (tx: Tx, { siteId }: NewBuild) =>
    (await requireSite(tx, siteId)).programmeId,

  /** @returns the id of the build */
  async make(tx: Tx, revisionsForBuilding: RevisionsForBuilding, input: NewBuild): Promise<string> {
    const site = await requireSite(tx, input.siteId);
    const { programmeId, villageId } = site;
    const programme = await findProgramme(tx, programmeId);
    if (!programme) throw notFound('programme', programmeId);
    if (site.liveBuildCode) {
      throw ruleBroken('site-has-build', `Site ${site.code} has build ${site.liveBuildCode}.`);
    }
    await requireShares(tx, programmeId, input.grantShares);
    const designRevisionId = designOf(site, input.designRevisionId);
    const revisions = await revisionsForBuilding(tx, [designRevisionId]);
    requireApproved([designRevisionId], revisions, '/designRevisionId');
    const revision = revisions.get(designRevisionId);
    if (!revision) throw notFound('design revision', designRevisionId);
    const { pricedOn, plannedStartOn, crewId, earliestStartOn, dueOn } = input;
    const priced = await priceRevisions(tx, [revision], pricedOn, programme.currency);
    const id = input.id ?? uuidv7();
    const build = {
      id,
      code: input.code ?? `B-${site.code}`.slice(0, 40),
      programmeId,
      siteId: site.id,
      villageId,
      designRevisionId,
      tankKindId: revision.tankKindId,
      crewId,
      plannedStartOn,
      earliestStartOn,
      dueOn,
      pricedOn,
    };
    await insertBuilds(tx, [build], input.grantShares);
    const lines = priced.get(designRevisionId)?.lines ?? [];
    await insertLines(tx, [id], lines, programme.currency);
    await tx.audit('create', 'build', id, { ...build, grantShares: input.grantShares });
    return id;
  },
};
