import { describe, expect, it } from 'vitest';
import {
  allocateLots,
  firstExpiringFirst,
  lotExpiresOn,
  lotStanding,
  lotThatSuffices,
  type StoredLot,
} from '../../../shared/index.ts';

const lot = (code: string, quantity: string, fields: Partial<StoredLot> = {}): StoredLot => ({
  lotId: code,
  code,
  quantity,
  usableUntil: null,
  rule: null,
  ...fields,
});
const unlotted = (quantity: string) => lot('none', quantity, { lotId: null });

// first expiring, first out: common practice of stores
describe('the order in which lots are used up', () => {
  it('is the first expiring, then what keeps, then what has no lot', () => {
    const order = firstExpiringFirst([
      unlotted('5'),
      lot('keeps', '5'),
      lot('late', '5', { usableUntil: '2026-09-30' }),
      lot('b', '5', { usableUntil: '2026-05-31' }),
      lot('a', '5', { usableUntil: '2026-05-31' }),
    ]);
    expect(order.map(({ code }) => code)).toEqual(['a', 'b', 'late', 'keeps', 'none']);
  });

  it('splits a need over lots and passes over what a rule forbids', () => {
    const old = lot('old', '100', { usableUntil: '2026-01-31', rule: 'lot-expired' });
    const lots = [unlotted('4'), lot('x', '7.5', { usableUntil: '2026-06-30' }), old];
    expect(allocateLots('10', lots)).toEqual({
      parts: [
        { lotId: 'x', quantity: '7.5' },
        { lotId: null, quantity: '2.5' },
      ],
      missing: '0',
      refused: [old],
    });
    expect(allocateLots('20', lots).missing).toBe('8.5');
  });

  it('finds the one lot that alone suffices', () => {
    const lots = [
      lot('small', '3', { usableUntil: '2026-05-31' }),
      lot('blocked', '50', { usableUntil: '2026-04-30', rule: 'lot-recalled' }),
      lot('large', '50', { usableUntil: '2026-09-30' }),
    ];
    expect(lotThatSuffices('3', lots)?.code).toBe('small');
    expect(lotThatSuffices('3.000001', lots)?.code).toBe('large');
    expect(lotThatSuffices('51', lots)).toBeNull();
  });

  it('refuses what cannot be', () => {
    expect(() => allocateLots('0', [])).toThrow('wanted');
    expect(() => allocateLots('1', [lot('a', '-1')])).toThrow('a.quantity');
    expect(() => firstExpiringFirst([lot('a', '1'), lot('a', '1')])).toThrow('given twice');
  });
});

describe('a lot', () => {
  // "use within 90 days of production, otherwise test it" (a cement maker's storage note, quoted);
  // 90 days from 1 March: 30 left in March, 30 in April, 30 in May
  const expiresOn = lotExpiresOn('2026-03-01', 90);
  const fresh = { expiresOn, lastTest: null, recalledOn: null };

  it('of cement is used for 90 days and then only after a test that passed', () => {
    expect(expiresOn).toBe('2026-05-30');
    expect(lotStanding(fresh, '2026-05-30')).toMatchObject({ state: 'usable', rule: null });
    const old = lotStanding(fresh, '2026-05-31');
    expect(old).toMatchObject({ state: 'expired', rule: 'lot-expired', usableUntil: expiresOn });
    expect(old.explanation).toContain('2026-05-30');
    const lastTest = {
      outcome: 'passed' as const,
      testedOn: '2026-06-01',
      usableUntil: '2026-07-01',
    };
    expect(lotStanding({ ...fresh, lastTest }, '2026-07-01').state).toBe('usable');
    expect(lotStanding({ ...fresh, lastTest }, '2026-07-02').state).toBe('expired');
  });

  it('is blocked by a failed test and by a recall, whatever its age', () => {
    const lastTest = { outcome: 'failed' as const, testedOn: '2026-03-05', usableUntil: null };
    expect(lotStanding({ ...fresh, lastTest }, '2026-03-06').rule).toBe('lot-failed-test');
    expect(lotStanding({ ...fresh, lastTest, recalledOn: '2026-03-07' }, '2026-03-08').rule).toBe(
      'lot-recalled',
    );
  });

  it('without a date of manufacture keeps', () => {
    const kept = lotStanding({ ...fresh, expiresOn: null }, '2036-01-01');
    expect(kept).toMatchObject({ state: 'usable', usableUntil: null });
    expect(() => lotStanding(fresh, '2026-02-30')).toThrow('on = 2026-02-30');
  });
});
