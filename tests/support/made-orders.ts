import { expect } from 'vitest';
import { type CostEntry, costEntry } from '../../shared/contract/cost-entry.ts';
import { type Order, order } from '../../shared/contract/order.ts';
import { makeBuild, makeGrant, shareBuild } from './factories.ts';
import { clearBill, makeBuildWithBill } from './made-bills.ts';
import { recordsOf } from './made-records.ts';
import type { TestPerson, TestService } from './service.ts';

/** A material of the order: what the build needs of it, in packs of so much at a price. */
export interface OrderedMaterial {
  readonly need: string;
  readonly packContent?: string;
  readonly pricePerPack: string;
  readonly material?: object;
}

export interface Buyers {
  readonly coordinator: TestPerson;
  readonly approver: TestPerson;
  readonly storekeeper: TestPerson;
}

/** People who buy together: one asks, another approves, a third counts what comes. */
export async function makeBuyers(service: TestService): Promise<Buyers> {
  const coordinator = await service.person(['coordinator']);
  const { organisationId } = coordinator;
  return {
    coordinator,
    approver: await service.person(['coordinator'], organisationId),
    storekeeper: await service.person(['storekeeper'], organisationId),
  };
}

/** Orders from the needs of a build of their own, over the interface, as drafts or placed. */
export function ordersOf(service: TestService, { coordinator, approver, storekeeper }: Buyers) {
  const made = recordsOf(service, coordinator);
  const get = (path: string, who = coordinator) => service.http.get(`/v1/${path}`).set(who.auth);
  const post = (path: string, body: object, who = coordinator) =>
    service.http.post(`/v1/${path}`).set(who.auth).send(body);

  async function read(id: string): Promise<Order> {
    return order.parse((await get(`orders/${id}`).expect(200)).body);
  }

  /** A draft of one line a material, in the order given, for a build that these grants share. */
  async function draft(materials: readonly OrderedMaterial[], shares: readonly string[] = []) {
    const like = await makeBuild(service, coordinator);
    await clearBill(service, coordinator, like.buildId);
    const supplier = await made.supplier();
    const bill: { materialId: string; quantity: string; unitCode: string }[] = [];
    for (const { need, packContent = '1', pricePerPack, material } of materials) {
      const { id, unitCode } = await made.material({ unitCode: 'H87', ...material });
      const offer = { supplierId: supplier.id, materialId: id, packContent, pricePerPack };
      await made.offer(offer);
      bill.push({ materialId: id, quantity: need, unitCode: String(unitCode) });
    }
    const buildId = await makeBuildWithBill(service, coordinator, like, like.villageId, bill);
    const grants = [];
    for (const share of shares) {
      const { grantId } = await makeGrant(service, coordinator, like.programmeId);
      await shareBuild(service, coordinator, buildId, { [grantId]: share });
      grants.push({ grantId, share });
    }
    const plan = await post(`programmes/${like.programmeId}/order-plans`, {
      pricedOn: '2026-11-02',
    }).expect(201);
    expect(plan.body.orders).toHaveLength(1);
    const drafted = await read(plan.body.orders[0].id);
    const lines = bill.map(({ materialId }) => {
      const line = drafted.lines.find((one) => one.materialId === materialId);
      if (!line) throw new Error('An order lacks a line of its needs');
      return line;
    });
    return { ...drafted, lines, grants, buildId };
  }

  const approve = (id: string) =>
    post(`orders/${id}/decisions`, { decision: 'approved' }, approver).expect(201);

  async function placed(...wanted: Parameters<typeof draft>) {
    const drafted = await draft(...wanted);
    await approve(drafted.id);
    await post(`orders/${drafted.id}/placements`, {
      placedOn: '2026-11-03',
      ...(drafted.grants.length > 0 ? { budgetLineCode: 'MAT' } : {}),
    }).expect(200);
    return drafted;
  }

  let notes = 0;

  /** The delivery note of goods that left on 5 November, by line. */
  async function sent(id: string, quantities: Readonly<Record<string, string>>) {
    const lines = Object.entries(quantities).map(([orderLineId, dispatchedQuantity]) => ({
      orderLineId,
      dispatchedQuantity,
    }));
    const body = { noteNumber: `DN-${++notes}`, dispatchedOn: '2026-11-05', lines };
    return (await post(`orders/${id}/delivery-notes`, body, storekeeper).expect(201)).body;
  }

  /** What an order committed, owes and paid by the entries that follow it, in minor units. */
  async function ledgerOf(orderId: string) {
    const { body } = await get(`cost-entries?orderId=${orderId}&limit=200`).expect(200);
    expect(body.nextCursor).toBeNull();
    const entries: CostEntry[] = body.items.map((item: unknown) => costEntry.parse(item));
    const cents = (state: string) =>
      entries
        .filter((entry) => entry.state === state && entry.followsOrder)
        .reduce((sum, { amount }) => sum + Math.round(Number(amount.amount) * 100), 0);
    return {
      entries,
      committed: cents('committed'),
      accrued: cents('accrued'),
      paid: cents('paid'),
    };
  }

  return { made, get, post, read, draft, approve, placed, sent, ledgerOf };
}
