import { randomUUID } from 'node:crypto';
import type supertest from 'supertest';
import { expect } from 'vitest';
import type { StockLotBalance, StockLotWhole } from '../../shared/contract/stock-lot.ts';
import { recordsOf } from './made-records.ts';
import type { TestPerson, TestService } from './service.ts';

/** Requests about lots and stock as one person, with acceptable values for what is left out. */
export function lotsOf(service: TestService, keeper: TestPerson, today: string) {
  const made = recordsOf(service, keeper);
  const get = (path: string, who = keeper) => service.http.get(`/v1/${path}`).set(who.auth);
  const post = (path: string, body: object, who = keeper): supertest.Test =>
    service.http.post(`/v1/${path}`).set(who.auth).send(body);

  const cement = () =>
    made.material({ lotIdentity: 'manufacture-date', shelfLifeDays: 90 }) as Promise<{
      id: string;
      code: string;
    }>;
  const newLot = async (materialId: string, fields: object = {}): Promise<StockLotWhole> => {
    const lot = { materialId, code: `L-${randomUUID().slice(0, 8)}`, manufacturedOn: today };
    const answer = await post('stock-lots', { ...lot, ...fields });
    expect(answer.status, answer.text).toBe(201);
    return answer.body;
  };
  const entry = (kind: string, fields: object) =>
    post('stock-entries', { kind, observedOn: today, ...fields });
  const receive = async (
    storeId: string,
    lot: { readonly id: string; readonly materialId: string },
    quantity: string,
  ) => {
    const fields = { storeId, materialId: lot.materialId, lotId: lot.id, quantity };
    const answer = await entry('receive', fields);
    expect(answer.status, answer.text).toBe(201);
  };
  /** Quantities of a store by lot code; what has no lot under "none". */
  const lotBalances = async (storeId: string): Promise<Record<string, string>> => {
    const { body } = await get(`stock-lot-balances?storeId=${storeId}`).expect(200);
    return Object.fromEntries(
      (body.items as StockLotBalance[]).map(({ lotCode, quantity }) => [
        lotCode ?? 'none',
        quantity,
      ]),
    );
  };
  return { made, get, post, cement, newLot, entry, receive, lotBalances };
}
