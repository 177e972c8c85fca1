import Big from 'big.js';
import { currencyExponent } from '../../../shared/costing/currency.ts';
import {
  allocateMoney,
  type Money,
  subtractMoney,
  sumMoney,
  zeroMoney,
} from '../../../shared/costing/money.ts';
import type { CostRows, CostScope } from './cost-repository.ts';
import {
  addTo,
  ELSEWHERE,
  type GoodsByOrder,
  goodsByOrder,
  NO_LOT,
  type OrderGoods,
  type PoolSums,
  type Sums,
} from './order-goods.ts';

/** The costs of a programme at the end of a day. Keys are ids of the rows; '' is no id. */
export interface CostStanding {
  readonly actualCost: Money;
  readonly actualByKey: ReadonlyMap<string, Money>;
  /** In no row when rows are builds, crews or villages. */
  readonly withoutBuild: Money;
  readonly stockNotYetUsed: Money;
  readonly paidAhead: Money;
  /** Within the actual cost. */
  readonly parts: {
    readonly entries: Money;
    readonly goodsUsed: Money;
    readonly goodsGone: Money;
    readonly orderDifferences: Money;
  };
  readonly inKind: Money;
  readonly inKindByKey: ReadonlyMap<string, Money>;
  readonly inKindWithoutBuild: Money;
}

export interface CostBook {
  /** Until the end of a day; days in ascending order. */
  until(day: string): CostStanding;
}

interface OrderPayers {
  total: Big;
  readonly byGrant: Sums;
  /** Of the only build that all its entries name; null when there is none. */
  readonly builds: Map<string | null, string | null>;
}

/** Costs added up day after day, so that a curve reads them once. */
export function costBook(rows: CostRows, scope: CostScope): CostBook {
  const { currency, by, programmeId } = scope;
  const rowsByDay = <Row extends { readonly on: string }>(all: readonly Row[]) =>
    all.toSorted((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0));
  const cash: Sums = new Map();
  const inKind: Sums = new Map();
  const orders = new Map<string, OrderPayers>();
  const received: Sums = new Map();
  const paid: Sums = new Map();
  const pools = new Map<string, PoolSums>();
  const lines = new Map(rows.lines.map((line) => [line.id, line]));

  const reading = [
    reader(rowsByDay(rows.entries), ({ funding, key, hasBuild, amount }) =>
      addTo(funding === 'cash' ? cash : inKind, keyOf(by, key, hasBuild), amount),
    ),
    reader(rowsByDay(rows.orders), ({ orderId, grantId, buildId, key, amount }) => {
      const payers = orders.get(orderId) ?? {
        total: new Big(0),
        byGrant: new Map(),
        builds: new Map(),
      };
      payers.total = payers.total.plus(amount);
      addTo(payers.byGrant, grantId ?? '', amount);
      payers.builds.set(buildId, key);
      orders.set(orderId, payers);
    }),
    reader(rowsByDay(rows.received), ({ lineId, lotId, quantity }) =>
      addTo(received, `${lineId} ${lotId ?? NO_LOT}`, quantity),
    ),
    reader(rowsByDay(rows.paid), ({ lineId, quantity }) => addTo(paid, lineId, quantity)),
    reader(rowsByDay(rows.flows), (flow) => {
      const poolKey = `${flow.materialId} ${flow.lotId ?? NO_LOT}`;
      const pool = pools.get(poolKey) ?? emptyPool();
      pools.set(poolKey, pool);
      if (flow.role === 'in-hand') pool.inHand = pool.inHand.plus(flow.quantity);
      else if (flow.role === 'received') {
        addTo(pool.receivedBy, flow.programmeId ?? ELSEWHERE, flow.quantity);
      } else {
        addTo(pool.usedBy, flow.programmeId ?? ELSEWHERE, flow.quantity);
        if (flow.buildId === null) return;
        addTo(pool.usedByBuild, flow.buildId, flow.quantity);
        pool.keyOfBuild.set(flow.buildId, flow.key);
      }
    }),
  ];

  return {
    until(day) {
      for (const read of reading) read(day);
      const owed = new Map([...orders].map(([id, { total }]) => [id, inMoney(total, currency)]));
      const goods = goodsByOrder(programmeId, { lines, received, paid, pools }, owed, currency);
      return standing({ by, currency, cash, inKind, orders, pools, owed, goods });
    },
  };
}

interface Books {
  readonly by: CostScope['by'];
  readonly currency: string;
  readonly cash: Sums;
  readonly inKind: Sums;
  readonly orders: ReadonlyMap<string, OrderPayers>;
  readonly pools: ReadonlyMap<string, PoolSums>;
  readonly owed: ReadonlyMap<string, Money>;
  readonly goods: GoodsByOrder;
}

/** The key of what names no build and has no row of its own. */
const NO_BUILD = ' ';

const keyOf = (by: CostScope['by'], key: string | null, hasBuild: boolean): string => {
  if (by === 'grant' || by === 'programme') return key ?? '';
  return hasBuild ? (key ?? '') : NO_BUILD;
};

function standing(books: Books): CostStanding {
  const { by, currency, cash, inKind, owed, goods } = books;
  const sum = (amounts: Iterable<Money>) => sumMoney([...amounts], currency);
  const of = (at: keyof OrderGoods) => sum([...goods.orders.values()].map((one) => one[at]));
  const entries = sum([...cash.values()].map((amount) => inMoney(amount, currency)));
  const total = sum([entries, ...owed.values()]);
  const [stockNotYetUsed, paidAhead] = [of('inHand'), of('paidAhead')];
  const actualCost = subtractMoney(subtractMoney(total, stockNotYetUsed), paidAhead);
  const goodsUsed = of('used');
  const goodsGone = of('gone');
  const actualByKey = by === 'grant' ? byGrant(books) : byBuilds(books);
  const withoutBuild = actualByKey.get(NO_BUILD) ?? zeroMoney(currency);
  actualByKey.delete(NO_BUILD);
  const inKindByKey = new Map(
    [...inKind].map(([key, amount]) => [key, inMoney(amount, currency)] as const),
  );
  const inKindWithoutBuild = inKindByKey.get(NO_BUILD) ?? zeroMoney(currency);
  const inKindTotal = sum(inKindByKey.values());
  inKindByKey.delete(NO_BUILD);
  return {
    ...{ actualCost, actualByKey, withoutBuild, stockNotYetUsed, paidAhead },
    parts: {
      ...{ entries, goodsUsed, goodsGone },
      orderDifferences: subtractMoney(actualCost, sum([entries, goodsUsed, goodsGone])),
    },
    ...{ inKind: inKindTotal, inKindByKey, inKindWithoutBuild },
  };
}

/** Entries of a build and goods issued to it; what is left of an order goes to its only build, if any. */
function byBuilds({ by, currency, cash, orders, pools, owed, goods }: Books): Map<string, Money> {
  const found = new Map<string, Money>();
  const add = (key: string, amount: Money) =>
    found.set(key, sumMoney([found.get(key) ?? zeroMoney(currency), amount], currency));
  for (const [key, amount] of cash) add(key, inMoney(amount, currency));
  const keyOfBuild = new Map([...pools.values()].flatMap((pool) => [...pool.keyOfBuild]));
  const isByBuild = by !== 'programme';
  for (const [buildId, used] of goods.usedByBuild) {
    add(keyOf(by, keyOfBuild.get(buildId) ?? null, true), used);
  }
  for (const [orderId, total] of owed) {
    const { used, inHand, paidAhead } = goods.orders.get(orderId) ?? nothing(currency);
    const stands = [inHand, paidAhead, ...(isByBuild ? [used] : [])];
    const rest = subtractMoney(total, sumMoney(stands, currency));
    const builds = [...(orders.get(orderId)?.builds ?? [])];
    const [only] = builds;
    const isOfOne = builds.length === 1 && only !== undefined && only[0] !== null;
    add(isOfOne ? keyOf(by, only[1], true) : keyOf(by, null, false), rest);
  }
  return found;
}

/** Entries by the grant that they are charged to; what is not a cost yet is taken from an order's payers. */
function byGrant({ by, currency, cash, orders, goods }: Books): Map<string, Money> {
  const found = new Map<string, Money>();
  const add = (key: string, amount: Money) =>
    found.set(key, sumMoney([found.get(key) ?? zeroMoney(currency), amount], currency));
  for (const [key, amount] of cash) add(keyOf(by, key || null, true), inMoney(amount, currency));
  for (const [orderId, { byGrant: payers }] of orders) {
    const { inHand, paidAhead } = goods.orders.get(orderId) ?? nothing(currency);
    const apart = sumMoney([inHand, paidAhead], currency);
    const weights = [...payers.values()].map((amount) => (amount.gt(0) ? amount.toFixed() : '0'));
    const shares = weights.some((weight) => /[1-9]/.test(weight))
      ? allocateMoney(apart, weights)
      : weights.map(() => zeroMoney(currency));
    for (const [index, [grantId, amount]] of [...payers].entries()) {
      const share = shares[index] ?? zeroMoney(currency);
      add(grantId, subtractMoney(inMoney(amount, currency), share));
    }
  }
  return found;
}

function reader<Row extends { readonly on: string }>(
  rows: readonly Row[],
  take: (row: Row) => void,
): (day: string) => void {
  let next = 0;
  return (day) => {
    for (let row = rows[next]; row !== undefined && row.on <= day; row = rows[next]) {
      take(row);
      next += 1;
    }
  };
}

const emptyPool = (): PoolSums => ({
  receivedBy: new Map(),
  usedBy: new Map(),
  usedByBuild: new Map(),
  keyOfBuild: new Map(),
  inHand: new Big(0),
});

const nothing = (currency: string): OrderGoods => ({
  used: zeroMoney(currency),
  inHand: zeroMoney(currency),
  gone: zeroMoney(currency),
  paidAhead: zeroMoney(currency),
});

const inMoney = (amount: Big, currency: string): Money => {
  const text = amount.toFixed(currencyExponent(currency));
  return { amount: /^-0(\.0*)?$/.test(text) ? text.slice(1) : text, currency };
};
