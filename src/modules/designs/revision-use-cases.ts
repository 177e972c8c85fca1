import { v7 as uuidv7 } from 'uuid';
import type {
  ApprovalState,
  DesignDecision,
  DesignRevision,
  DesignRevisionSummary,
  NewDesignDecision,
  NewDesignRevision,
  TakeOffLine,
} from '../../../shared/contract/design-revision.ts';
import { checkTank, type TankCheck } from '../../../shared/design/check-tank.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import { ENGINE_VERSION } from '../../../shared/version.ts';
import type { Tx } from '../../db/database.ts';
import { inField } from '../../domain/engine-field.ts';
import { notFound, ruleBroken } from '../../domain/errors.ts';
import { type DrawingFile, drawRevision } from './revision-drawing.ts';
import { takeOffOf } from './revision-take-off.ts';
import type { TankDesignStore } from './use-cases.ts';

export interface RevisionFilter {
  readonly designId?: string | undefined;
  readonly approval?: ApprovalState | undefined;
}

export interface DecidedRevision {
  readonly outcome: 'pass' | 'review' | 'fail';
  readonly createdById: string;
  readonly approval: ApprovalState;
}

export interface Engineer {
  readonly name: string;
  readonly registrationNumber: string | null;
}

export interface RevisionStore {
  /** By design and number; one more than `limit`, when there is more. */
  list(
    tx: Tx,
    filter: RevisionFilter,
    after: readonly string[] | null,
    limit: number,
  ): Promise<DesignRevisionSummary[]>;
  read(tx: Tx, id: string): Promise<DesignRevision | null>;
  decisions(tx: Tx, id: string): Promise<DesignDecision[]>;
  insert(
    tx: Tx,
    revision: {
      readonly id: string;
      readonly designId: string;
      readonly revisionNumber: number;
      readonly engineVersion: string;
      readonly input: TankDesignInput;
      readonly result: TankCheck;
      readonly takeOff: readonly TakeOffLine[];
    },
  ): Promise<void>;
  /** The revision as it stands, with every other decision on it kept waiting. */
  lockForDecision(tx: Tx, id: string): Promise<DecidedRevision | null>;
  /** The person who acts. */
  engineer(tx: Tx): Promise<Engineer | null>;
  decide(
    tx: Tx,
    id: string,
    revisionId: string,
    decision: NewDesignDecision['decision'],
    engineer: { readonly name: string; readonly registrationNumber: string },
    remarks: string,
  ): Promise<DesignDecision>;
  /** Approval of each revision that exists. */
  approvals(tx: Tx, ids: readonly string[]): Promise<ReadonlyMap<string, ApprovalState>>;
}

export interface DesignRevisions {
  list: RevisionStore['list'];
  /** Throws `not-found` unless the design exists. */
  requireDesign(tx: Tx, designId: string): Promise<void>;
  get(tx: Tx, id: string): Promise<DesignRevision>;
  create(tx: Tx, designId: string, input: NewDesignRevision): Promise<DesignRevision>;
  decide(tx: Tx, revisionId: string, input: NewDesignDecision): Promise<DesignDecision>;
  /** One sheet of the drawing, counted from 1. */
  drawing(tx: Tx, revisionId: string, sheetNumber: number): Promise<DrawingFile>;
}

export function createDesignRevisions(
  store: RevisionStore,
  designs: Pick<TankDesignStore, 'recipe' | 'lastRevisionNumber'>,
): DesignRevisions {
  async function get(tx: Tx, id: string) {
    const found = await store.read(tx, id);
    if (!found) throw notFound('design revision', id);
    return found;
  }
  return {
    list: store.list,
    async requireDesign(tx, designId) {
      if (!(await designs.recipe(tx, designId))) throw notFound('tank design', designId);
    },
    get,
    async create(tx, designId, { id = uuidv7(), input }) {
      const recipe = await designs.recipe(tx, designId);
      if (!recipe) throw notFound('tank design', designId);
      const result = inField('input', () => checkTank(input));
      const takeOff = inField('input', () => takeOffOf(input, recipe));
      const revisionNumber = (await designs.lastRevisionNumber(tx, designId)) + 1;
      await store.insert(tx, {
        id,
        designId,
        revisionNumber,
        engineVersion: ENGINE_VERSION,
        input,
        result,
        takeOff,
      });
      await tx.audit('create', 'design revision', id, { designId, revisionNumber, input });
      return get(tx, id);
    },
    async decide(tx, revisionId, { id = uuidv7(), decision, remarks }) {
      const revision = await store.lockForDecision(tx, revisionId);
      if (!revision) throw notFound('design revision', revisionId);
      const engineer = requireRegistered(await store.engineer(tx));
      if (decision === 'approved') requireApprovable(revision, tx.actor.personId);
      if (decision === 'withdrawn' && revision.approval !== 'approved') {
        throw ruleBroken(
          'nothing-to-withdraw',
          `The revision is ${revision.approval}; only an approval can be withdrawn.`,
        );
      }
      const made = await store.decide(tx, id, revisionId, decision, engineer, remarks);
      await tx.audit('decide', 'design revision', revisionId, { decision, remarks });
      return made;
    },
    async drawing(tx, revisionId, sheetNumber) {
      const revision = await get(tx, revisionId);
      const recipe = await designs.recipe(tx, revision.designId);
      if (!recipe) throw notFound('tank design', revision.designId);
      return drawRevision(revision, recipe, sheetNumber);
    },
  };
}

function requireRegistered(engineer: Engineer | null) {
  const { name, registrationNumber } = engineer ?? { name: '', registrationNumber: null };
  if (name && registrationNumber) return { name, registrationNumber };
  throw ruleBroken(
    'engineer-not-registered',
    'A decision carries the name and registration number of the engineer; enter the number with the person first.',
  );
}

function requireApprovable({ outcome, createdById, approval }: DecidedRevision, personId: string) {
  if (outcome === 'fail') {
    throw ruleBroken(
      'design-fails-checks',
      'The revision fails at least one check and can never be approved; make another revision.',
    );
  }
  if (createdById === personId) {
    throw ruleBroken(
      'approver-is-author',
      'Whoever made a revision does not approve it; another registered engineer must.',
    );
  }
  if (approval === 'approved') {
    throw ruleBroken('already-approved', 'The revision is approved already.');
  }
}
