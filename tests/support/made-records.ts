import { randomBytes } from 'node:crypto';
import { expect } from 'vitest';
import type { TestPerson, TestService } from './service.ts';

interface Made {
  readonly id: string;
  readonly code: string;
  readonly version: number;
  readonly [field: string]: unknown;
}

const freshCode = (prefix: string) => `${prefix}-${randomBytes(5).toString('hex')}`;

/** Makes plain records over the interface, with acceptable values for whatever is left out. */
export function recordsOf(service: TestService, person: TestPerson) {
  async function make(path: string, body: object): Promise<Made> {
    const answer = await service.http.post(`/v1/${path}`).set(person.auth).send(body);
    expect(answer.status, answer.text).toBe(201);
    return answer.body;
  }
  const programme = (fields: object = {}) =>
    make('programmes', {
      code: freshCode('P'),
      name: 'Season',
      startsOn: '2026-11-01',
      endsOn: '2027-05-31',
      currency: 'EUR',
      targetReliabilityRatio: 0.85,
      litresPerPersonPerDay: 20,
      ...fields,
    });
  const donor = (fields: object = {}) =>
    make('donors', { code: freshCode('D'), name: 'Invented foundation', ...fields });
  const store = (fields: object = {}) =>
    make('stores', { code: freshCode('ST'), name: 'Store', place: 'Market road', ...fields });
  const village = (fields: object = {}) =>
    make('villages', { code: freshCode('V'), name: 'Village', district: 'North', ...fields });
  const supplier = (fields: object = {}) =>
    make('suppliers', { code: freshCode('SU'), name: 'Supplier', place: 'Town', ...fields });
  const material = (fields: object = {}) =>
    make('materials', {
      code: freshCode('M'),
      name: 'Cement',
      category: 'binder',
      unitCode: 'KGM',
      ...fields,
    });
  return {
    make,
    programme,
    donor,
    store,
    village,
    supplier,
    material,
    crew: async (fields: { programmeId?: string; [field: string]: unknown } = {}) =>
      make('crews', {
        programmeId: fields.programmeId ?? (await programme()).id,
        code: freshCode('C'),
        name: 'Crew',
        size: 5,
        ...fields,
      }),
    grant: async (
      fields: { programmeId?: string; donorId?: string; [field: string]: unknown } = {},
    ) =>
      make('grants', {
        programmeId: fields.programmeId ?? (await programme()).id,
        donorId: fields.donorId ?? (await donor()).id,
        code: freshCode('G'),
        title: 'Tanks for schools',
        amount: { amount: '1000.00', currency: 'EUR' },
        startsOn: '2026-11-01',
        endsOn: '2027-10-31',
        ratePolicy: 'transaction-date',
        ...fields,
      }),
    budgetLine: (grantId: string, amount: string, fields: object = {}) =>
      make('budget-lines', {
        grantId,
        code: freshCode('B'),
        title: 'Materials',
        amount: { amount, currency: 'EUR' },
        ...fields,
      }),
    offer: async (
      fields: { supplierId?: string; materialId?: string; [field: string]: unknown } = {},
    ) =>
      make('offers', {
        supplierId: fields.supplierId ?? (await supplier()).id,
        materialId: fields.materialId ?? (await material()).id,
        packCode: 'X5M',
        packContent: '50',
        pricePerPack: '7.45',
        currency: 'EUR',
        leadDays: 7,
        validFrom: '2026-10-01',
        validUntil: '2027-03-31',
        ...fields,
      }),
  };
}
