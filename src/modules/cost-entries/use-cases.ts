import { v7 as uuidv7 } from 'uuid';
import type {
  CostAdvance,
  CostEntry,
  CostReversal,
  NewCostEntry,
  NewCostSplit,
} from '../../../shared/contract/cost-entry.ts';
import { splitOverGrants } from '../../../shared/costing/grant-share.ts';
import { money } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { chargeToGrant, requireBudgetLine } from './charge-to-grant.ts';
import {
  findCostEntry,
  grantSharesOf,
  insertCostEntry,
  isReversed,
  listCostEntries,
  programmeOfBuild,
} from './repository.ts';
import { reversalOf } from './reversal.ts';

const NEXT_STATES: Readonly<Record<CostEntry['state'], readonly CostEntry['state'][]>> = {
  committed: ['accrued', 'paid'],
  accrued: ['paid'],
  paid: [],
};

export interface CostEntries {
  record(tx: Tx, input: NewCostEntry): Promise<CostEntry>;
  /** Spreads one cost of a build over the grants that pay for it, by their shares. */
  split(tx: Tx, input: NewCostSplit): Promise<CostEntry[]>;
  reverse(tx: Tx, id: string, input: CostReversal): Promise<CostEntry>;
  /** Takes an entry out of its state and posts the same amount in the next one. */
  advance(tx: Tx, id: string, input: CostAdvance): Promise<CostEntry>;
  get(tx: Tx, id: string): Promise<CostEntry>;
  readonly list: typeof listCostEntries;
}

export function createCostEntries(clock: Clock): CostEntries {
  async function get(tx: Tx, id: string): Promise<CostEntry> {
    const entry = await findCostEntry(tx, id);
    if (!entry) throw notFound('cost entry', id);
    return entry;
  }

  async function post(tx: Tx, input: NewCostEntry): Promise<CostEntry> {
    const amount = money(input.amount.amount, input.amount.currency);
    const charged = await chargeToGrant(tx, input, amount);
    const entry = await insertCostEntry(tx, {
      id: input.id ?? uuidv7(),
      programmeId: input.programmeId,
      grantId: input.grantId ?? null,
      budgetLineId: input.budgetLineId ?? null,
      buildId: input.buildId ?? null,
      orderId: input.orderId ?? null,
      state: input.state,
      funding: input.funding,
      occurredOn: input.occurredOn,
      description: input.description,
      evidence: input.evidence,
      amount,
      grantAmount: charged?.grantAmount ?? null,
      exchange: charged?.exchange ?? null,
      reversesId: null,
      invoiceId: null,
      receiptId: null,
      followsOrder: false,
    });
    await tx.audit('create', 'cost-entry', entry.id, { amount, grantId: entry.grantId });
    return entry;
  }

  async function postReversal(tx: Tx, entry: CostEntry, occurredOn: string, reason: string) {
    await refuseReversal(tx, entry, occurredOn);
    return insertCostEntry(tx, reversalOf(entry, occurredOn, reason));
  }

  return {
    get,
    list: listCostEntries,

    async record(tx, input) {
      const earlier = input.id === undefined ? null : await findCostEntry(tx, input.id);
      if (earlier) return sameOrConflict(earlier, input);
      refuseFutureDate(clock, '/occurredOn', input.occurredOn);
      refuseCommitment(input);
      await refuseForeignBuild(tx, input);
      return post(tx, input);
    },

    async split(tx, { budgetLineCode, ...input }) {
      refuseFutureDate(clock, '/occurredOn', input.occurredOn);
      refuseCommitment(input);
      await refuseForeignBuild(tx, input);
      const shares = await grantSharesOf(tx, input.buildId);
      const parts = splitOverGrants(money(input.amount.amount, input.amount.currency), shares);
      const entries: CostEntry[] = [];
      for (const { grantId, amount } of parts) {
        const lineId =
          budgetLineCode === undefined
            ? null
            : await requireBudgetLine(tx, grantId, budgetLineCode);
        const line = lineId === null ? {} : { budgetLineId: lineId };
        entries.push(await post(tx, { ...input, amount, grantId, ...line }));
      }
      return entries;
    },

    async reverse(tx, id, { occurredOn, reason }) {
      refuseFutureDate(clock, '/occurredOn', occurredOn);
      const entry = await get(tx, id);
      refuseFollowing(entry);
      const reversal = await postReversal(tx, entry, occurredOn, reason);
      await tx.audit('reverse', 'cost-entry', id, { reversalId: reversal.id });
      return reversal;
    },

    async advance(tx, id, { state, occurredOn, evidence }) {
      refuseFutureDate(clock, '/occurredOn', occurredOn);
      const entry = await get(tx, id);
      refuseFollowing(entry);
      if (!NEXT_STATES[entry.state].includes(state)) {
        throw ruleBroken('state-order', `An entry that is ${entry.state} cannot become ${state}.`);
      }
      await postReversal(tx, entry, occurredOn, `moves from ${entry.state} to ${state}`);
      const next = await insertCostEntry(tx, {
        ...entry,
        id: uuidv7(),
        state,
        occurredOn,
        evidence,
        reversesId: null,
      });
      await tx.audit('advance', 'cost-entry', id, { state, entryId: next.id });
      return next;
    },
  };
}

/** An order commits its cost when it is placed; by hand it would count twice. */
function refuseCommitment({ orderId, state }: { orderId?: string | undefined; state: string }) {
  if (orderId === undefined || state !== 'committed') return;
  throw ruleBroken(
    'order-commits-itself',
    'The cost of an order is committed when the order is placed; it is not recorded by hand.',
  );
}

/** What follows an order is moved by its receipts, invoices, amendments and end. */
function refuseFollowing({ followsOrder, orderId }: CostEntry) {
  if (!followsOrder) return;
  throw ruleBroken(
    'order-keeps-its-costs',
    `This entry follows order ${orderId}: receipts, invoices, amendments and the end of the order move it.`,
  );
}

async function refuseForeignBuild(
  tx: Tx,
  input: { programmeId: string; buildId?: string | undefined },
) {
  if (input.buildId === undefined) return;
  if ((await programmeOfBuild(tx, input.buildId)) !== input.programmeId) {
    throw invalidContent([
      {
        pointer: '/buildId',
        code: 'reference.unknown',
        message: 'is not a build of this programme',
        rejectedValue: input.buildId,
      },
    ]);
  }
}

async function refuseReversal(tx: Tx, entry: CostEntry, occurredOn: string) {
  if (entry.reversesId !== null) {
    throw ruleBroken('reversal-of-reversal', 'A reversal is not reversed; record the cost anew.');
  }
  if (await isReversed(tx, entry.id)) {
    throw ruleBroken('reversed-already', 'This entry was reversed already.');
  }
  if (occurredOn < entry.occurredOn) {
    throw ruleBroken(
      'reversal-before-entry',
      `The entry is of ${entry.occurredOn}; a reversal cannot be earlier.`,
    );
  }
}

function sameOrConflict(earlier: CostEntry, input: NewCostEntry): CostEntry {
  const given = money(input.amount.amount, input.amount.currency);
  const isSame =
    earlier.programmeId === input.programmeId &&
    earlier.grantId === (input.grantId ?? null) &&
    earlier.state === input.state &&
    earlier.occurredOn === input.occurredOn &&
    earlier.amount.amount === given.amount &&
    earlier.amount.currency === given.currency;
  if (isSame) return earlier;
  throw new DomainError('conflict', { detail: `Cost entry ${earlier.id} says something else.` });
}
