import type {
  Build,
  BuildPatch,
  NewBuild,
  NewBuildCancellation,
} from '../../../shared/contract/build.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { buildMany, type ManyBuilds } from './build-many.ts';
import { buildOne } from './build-one.ts';
import {
  type BuildFilter,
  cancelBuild,
  findBuild,
  findCrew,
  findProgramme,
  listBuilds,
  lockBuild,
  updateBuild,
} from './repository.ts';
import { type Reprice, reprice } from './reprice.ts';
import type { RevisionsForBuilding } from './requirements.ts';

export interface Builds {
  /** By code; one more than `limit`, when there is more. */
  list(
    tx: Tx,
    filter: BuildFilter,
    after: readonly string[] | null,
    limit: number,
  ): Promise<Build[]>;
  get(tx: Tx, id: string): Promise<Build>;
  create(tx: Tx, input: NewBuild): Promise<Build>;
  createMany: ManyBuilds;
  edit(tx: Tx, id: string, version: number, patch: BuildPatch): Promise<Build>;
  cancel(tx: Tx, id: string, input: NewBuildCancellation): Promise<Build>;
  reprice: Reprice;
}

export function createBuilds(clock: Clock, revisions: RevisionsForBuilding): Builds {
  async function get(tx: Tx, id: string) {
    const found = await findBuild(tx, id);
    if (!found) throw notFound('build', id);
    return found;
  }
  return {
    list: listBuilds,
    get,
    async create(tx, input) {
      await requirePlan(tx, await buildOne.programmeIdOf(tx, input), input);
      return get(tx, await buildOne.make(tx, revisions, input));
    },
    createMany: (tx, programmeId, input) => buildMany(tx, revisions, programmeId, input),
    async edit(tx, id, version, patch) {
      const current = await lockBuild(tx, id);
      if (!current) throw notFound('build', id);
      if (current.version !== version) throw staleBuild(version, current.version);
      requireLive(current);
      if (patch.plannedStartOn !== undefined && current.startedOn !== null) {
        throw ruleBroken(
          'build-has-started',
          `The build started on ${current.startedOn}; its planned start cannot change any more.`,
        );
      }
      await requirePlan(tx, current.programmeId, patch);
      const { plannedStartOn, crewId, earliestStartOn, dueOn } = { ...current, ...patch };
      await updateBuild(tx, current, { plannedStartOn, crewId, earliestStartOn, dueOn });
      await tx.audit('edit', 'build', id, patch);
      return get(tx, id);
    },
    async cancel(tx, id, { cancelledOn = clock.today(), reason }) {
      const current = await lockBuild(tx, id);
      if (!current) throw notFound('build', id);
      requireLive(current);
      if (current.status === 'complete' || current.status === 'handed-over') {
        throw ruleBroken('build-is-complete', 'A tank that stands cannot be cancelled.');
      }
      await cancelBuild(tx, id, cancelledOn);
      await tx.audit('cancel', 'build', id, { cancelledOn, reason });
      return get(tx, id);
    },
    reprice: (tx, programmeId, input) => reprice(tx, revisions, programmeId, input),
  };
}

const staleBuild = (version: number, current: number) =>
  new DomainError('stale-version', {
    detail: `You changed version ${version}; the build is at version ${current} now.`,
    extra: { currentEtag: `"v${current}"` },
  });

function requireLive({ cancelledOn }: Build) {
  if (cancelledOn === null) return;
  throw ruleBroken('build-is-cancelled', `The build was cancelled on ${cancelledOn}.`);
}

/** Refuses a start outside the programme and a crew of another one. */
async function requirePlan(tx: Tx, programmeId: string, { plannedStartOn, crewId }: BuildPatch) {
  if (crewId) {
    const crew = await findCrew(tx, crewId);
    if (!crew) {
      throw invalidContent([
        {
          pointer: '/crewId',
          code: 'reference.unknown',
          message: 'names a record that does not exist',
          rejectedValue: crewId,
        },
      ]);
    }
    if (crew.programmeId !== programmeId) {
      throw ruleBroken('crew-of-other-programme', 'The crew works for another programme.');
    }
  }
  if (!plannedStartOn) return;
  const programme = await findProgramme(tx, programmeId);
  if (!programme) throw notFound('programme', programmeId);
  const { startsOn, endsOn } = programme;
  if (plannedStartOn >= startsOn && plannedStartOn <= endsOn) return;
  const message = `must lie between ${startsOn} and ${endsOn}, the dates of the programme`;
  throw ruleBroken('start-outside-programme', `plannedStartOn ${message}.`, [
    {
      pointer: '/plannedStartOn',
      code: 'date.outside',
      message,
      rejectedValue: plannedStartOn,
    },
  ]);
}
