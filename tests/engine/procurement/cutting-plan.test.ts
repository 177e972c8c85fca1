import fc from 'fast-check';
import { beforeAll, describe, expect, it, vi } from 'vitest';
import {
  type CuttingInput,
  type CuttingPlan,
  type LpOutcome,
  planCutting,
  type SolveLp,
} from '../../../shared/index.ts';
import {
  arcFlowGraph,
  arcFlowModel,
  arcFlowRuns,
} from '../../../shared/procurement/cutting-arc-flow.ts';
import { generateColumns } from '../../../shared/procurement/cutting-columns.ts';
import { firstFitDecreasing, runsWeight } from '../../../shared/procurement/cutting-first-fit.ts';
import { maximalPatterns, patternModel } from '../../../shared/procurement/cutting-patterns.ts';
import { cuttingProblem } from '../../../shared/procurement/cutting-problem.ts';
import { exactRuns } from '../../../shared/procurement/cutting-runs.ts';
import { lpColumns, lpText, solveModel } from '../../../shared/procurement/lp-text.ts';
import { highsSolver } from '../../support/highs-solver.ts';

// Solving and thousands of draws are slow on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

let solve: SolveLp;
let answers: LpOutcome[];
beforeAll(async () => {
  ({ solve, answers } = await highsSolver());
});

/** Counts pieces, lengths and stock apart from the engine; gives the money or length used. */
function expectPossible(input: CuttingInput, plan: CuttingPlan): void {
  const kerf = input.kerfMm ?? 0;
  const lengthById = new Map(input.pieces.map((piece) => [piece.id, piece.lengthMm]));
  const cut = new Map<string, number>();
  const used = new Map<string, number>();
  for (const { stockId, times, pieces, offcutMm } of plan.patterns) {
    const stock = input.stock.find((candidate) => candidate.id === stockId);
    const count = pieces.reduce((sum, piece) => sum + piece.count, 0);
    const sum = pieces.reduce((s, p) => s + p.count * (lengthById.get(p.id) ?? Number.NaN), 0);
    expect(sum + (count - 1) * kerf).toBeLessThanOrEqual((stock?.lengthMm ?? 0) + 1e-6);
    const left = (stock?.lengthMm ?? 0) - sum - count * kerf;
    expect(offcutMm).toBeCloseTo(Math.max(0, left), 6);
    for (const piece of pieces) {
      cut.set(piece.id, (cut.get(piece.id) ?? 0) + piece.count * times);
    }
    used.set(stockId, (used.get(stockId) ?? 0) + times);
  }
  for (const piece of input.pieces) expect(cut.get(piece.id)).toBe(piece.count);
  for (const stock of input.stock) {
    expect(used.get(stock.id) ?? 0).toBeLessThanOrEqual(stock.availableCount ?? Infinity);
  }
  expect([...used.values()].reduce((a, b) => a + b, 0)).toBe(plan.stockCount);
}

const pieces = (...rows: [number, number][]) =>
  rows.map(([lengthMm, count], index) => ({ id: `p${index}`, lengthMm, count }));

describe('saw cuts', () => {
  // by hand: three of 2000 fill 6000 without a saw; with a 3 mm cut only two fit, three in 6006
  it('take one kerf less than there are pieces', () => {
    const input = { stock: [{ id: 'bar', lengthMm: 6000 }], pieces: pieces([2000, 6]) };
    expect(planCutting(input, solve)).toMatchObject({ status: 'optimal', stockCount: 2 });
    expect(planCutting({ ...input, kerfMm: 3 }, solve)).toMatchObject({
      status: 'optimal',
      stockCount: 3,
      patterns: [{ stockId: 'bar', times: 3, pieces: [{ id: 'p0', count: 2 }], offcutMm: 1994 }],
    });
    const longer = { ...input, stock: [{ id: 'bar', lengthMm: 6006 }], kerfMm: 3 };
    expect(planCutting(longer, solve)).toMatchObject({
      stockCount: 2,
      patterns: [{ times: 2, offcutMm: 0 }],
    });
  });
});

describe('several stocks', () => {
  const lengths = pieces([2500, 4], [1500, 4]);
  it('use the least length when none has a cost', () => {
    const input = {
      stock: [
        { id: 'four', lengthMm: 4000 },
        { id: 'six', lengthMm: 6000 },
      ],
      pieces: lengths,
    };
    const plan = planCutting(input, solve);
    // by hand: 4 × (2500 + 1500) fill four of 4000 without waste, 16 m
    expect(plan).toMatchObject({
      status: 'optimal',
      objective: 'length',
      stockCount: 4,
      totalStockMm: 16_000,
      lowerBound: 16_000,
      lowerBoundCount: 3,
    });
    expect(plan.totalCost).toBeUndefined();
    expectPossible(input, plan);
  });

  it('use the least money when each has a cost', () => {
    const input = {
      stock: [
        { id: 'four', lengthMm: 4000, cost: 4.2 },
        { id: 'six', lengthMm: 6000, cost: 5.1 },
      ],
      pieces: lengths,
    };
    const plan = planCutting(input, solve);
    // by hand: 4 fours 16.80; 3 sixes 15.30 hold 2500+2500, 2500+2500, 4 × 1500: the least
    expect(plan).toMatchObject({
      status: 'optimal',
      objective: 'cost',
      stockCount: 3,
      totalCost: 15.3,
      lowerBound: 15.3,
    });
    expectPossible(input, plan);
  });

  it('keep within what is there, and start with offcuts kept from before', () => {
    const input = {
      stock: [
        { id: 'offcut', lengthMm: 2600, availableCount: 2, cost: 0.1 },
        { id: 'six', lengthMm: 6000, cost: 5 },
      ],
      pieces: pieces([2500, 4]),
      usableOffcutMm: 500,
    };
    const plan = planCutting(input, solve);
    // by hand: two offcuts give two, one length the other two: 0.20 + 5.00
    expect(plan).toMatchObject({ status: 'optimal', stockCount: 3, totalCost: 5.2 });
    expect(plan.usableOffcuts).toEqual([{ stockId: 'six', lengthMm: 1000, count: 1 }]);
    expectPossible(input, plan);
  });
});

describe('what cannot be cut', () => {
  it('is a piece longer than any stock', () => {
    const plan = planCutting(
      { stock: [{ id: 'bar', lengthMm: 6000 }], pieces: pieces([6001, 1]) },
      solve,
    );
    expect(plan).toMatchObject({ status: 'infeasible', stockCount: 0, patterns: [] });
    expect(plan.reason).toContain('p0');
  });

  it('is more than all the stock together', () => {
    const plan = planCutting(
      { stock: [{ id: 'bar', lengthMm: 6000, availableCount: 2 }], pieces: pieces([2000, 7]) },
      solve,
    );
    expect(plan).toMatchObject({ status: 'infeasible', method: 'none' });
  });

  it('is proved by the solver where the lengths alone would do', () => {
    answers.length = 0;
    const plan = planCutting(
      {
        stock: [{ id: 'bar', lengthMm: 6000, availableCount: 3 }],
        pieces: pieces([3100, 4], [100, 1]),
      },
      solve,
    );
    // four of 3100 and 100 more are 12.5 m of 18 m, but no length holds two
    expect(plan).toMatchObject({
      status: 'infeasible',
      method: 'patterns',
      reason: 'the stock does not suffice',
      lowerBoundCount: 3,
    });
    expect(answers.map(({ status }) => status)).toEqual(['Infeasible']);
  });
});

describe('the graph of cuts', () => {
  it('cuts no item more often than it is asked for', () => {
    const problem = cuttingProblem({
      stock: [{ id: 'bar', lengthMm: 100 }],
      pieces: pieces([30, 2], [20, 1]),
    });
    const graph = arcFlowGraph(problem, 100);
    const arcs = graph?.arcs
      .filter((arc) => arc.item !== null)
      .map(({ from, to, item }) => [from, to, item]);
    // by hand, in units of 10: 30 at 0 and 3; 20 at 0, 3 and 6
    expect(arcs).toEqual([
      [0, 3, 0],
      [3, 6, 0],
      [0, 2, 1],
      [3, 5, 1],
      [6, 8, 1],
    ]);
    expect(arcFlowGraph(problem, 4)).toBeNull();
  });
});

describe('names of pieces', () => {
  it('of one length are handed out in their order', () => {
    const input = {
      stock: [{ id: 'bar', lengthMm: 6000 }],
      pieces: [
        { id: 'wall', lengthMm: 2000, count: 4 },
        { id: 'roof', lengthMm: 2000, count: 3 },
      ],
    };
    const plan = planCutting(input, solve);
    expect(plan.stockCount).toBe(3);
    expectPossible(input, plan);
  });

  it('are not cut more often than asked when a model cuts more', () => {
    const problem = cuttingProblem({
      stock: [{ id: 'bar', lengthMm: 60 }],
      pieces: pieces([20, 5], [15, 2]),
    });
    // too many by four of the first and two of the second
    const runs = exactRuns(problem, [
      { barIndex: 0, counts: [3, 0], times: 3 },
      { barIndex: 0, counts: [0, 4], times: 1 },
    ]);
    const cut = [0, 1].map((item) =>
      runs?.reduce((sum, run) => sum + (run.counts[item] ?? 0) * run.times, 0),
    );
    expect(cut).toEqual([5, 2]);
    expect(exactRuns(problem, [{ barIndex: 0, counts: [3, 0], times: 1 }])).toBeNull();
  });
});

/** Fewest bars by trying every way, for small lists. */
function fewestBars(capacity: number, list: readonly number[]): number {
  const sorted = [...list].sort((a, b) => b - a);
  let best = sorted.length;
  const place = (at: number, bins: number[]): void => {
    if (bins.length >= best) return;
    const size = sorted[at];
    if (size === undefined) {
      best = bins.length;
      return;
    }
    const tried = new Set<number>();
    for (const [index, room] of bins.entries()) {
      if (room < size || tried.has(room)) continue;
      tried.add(room);
      place(at + 1, bins.with(index, room - size));
    }
    place(at + 1, [...bins, capacity - size]);
  };
  place(0, []);
  return best;
}

describe('every way to solve', () => {
  const small = fc.record({
    kerf: fc.integer({ min: 0, max: 3 }),
    rows: fc.uniqueArray(
      fc.record({ size: fc.integer({ min: 12, max: 60 }), count: fc.integer({ min: 1, max: 3 }) }),
      { minLength: 1, maxLength: 4, selector: (row) => row.size },
    ),
  });

  it('finds the fewest lengths that trying everything finds', () => {
    fc.assert(
      fc.property(small, ({ kerf, rows }) => {
        const input: CuttingInput = {
          stock: [{ id: 'bar', lengthMm: 100 }],
          kerfMm: kerf,
          pieces: rows.map(({ size, count }) => ({ id: `p${size}`, lengthMm: size, count })),
        };
        const all = rows.flatMap(({ size, count }) =>
          Array.from({ length: count }, () => size + kerf),
        );
        const fewest = fewestBars(100 + kerf, all);
        const plan = planCutting(input, solve);
        expect(plan).toMatchObject({
          status: 'optimal',
          stockCount: fewest,
          lowerBoundCount: fewest,
        });
        expectPossible(input, plan);

        const problem = cuttingProblem(input);
        const graph = arcFlowGraph(problem, 5000);
        if (graph === null) throw new Error('small graphs are built');
        const model = arcFlowModel(problem, graph, true);
        const outcome = solveModel(model, solve, 10);
        expect(outcome.status).toBe('Optimal');
        const runs = exactRuns(problem, arcFlowRuns(problem, graph, outcome) ?? []);
        expect(runsWeight(problem, runs ?? [])).toBe(fewest);

        const columns = generateColumns(problem, solve, 10);
        expect(Math.ceil((columns?.bound ?? 0) - 1e-6)).toBeLessThanOrEqual(fewest);
        const generated = exactRuns(problem, columns?.runs ?? []);
        expect(runsWeight(problem, generated ?? [])).toBeGreaterThanOrEqual(fewest);
        expect(runsWeight(problem, firstFitDecreasing(problem) ?? [])).toBeGreaterThanOrEqual(
          fewest,
        );
      }),
      { numRuns: 25 },
    );
  });

  it('agrees between patterns, flow and columns where stock is limited and priced', () => {
    fc.assert(
      fc.property(
        small,
        fc.integer({ min: 0, max: 4 }),
        fc.integer({ min: 1, max: 30 }),
        ({ kerf, rows }, availableCount, cents) => {
          const input: CuttingInput = {
            stock: [
              { id: 'short', lengthMm: 70, availableCount, cost: cents / 10 },
              { id: 'long', lengthMm: 100, cost: 2 },
            ],
            kerfMm: kerf,
            pieces: rows.map(({ size, count }) => ({ id: `p${size}`, lengthMm: size, count })),
          };
          const plan = planCutting(input, solve);
          expect(plan.status).toBe('optimal');
          expectPossible(input, plan);
          const problem = cuttingProblem(input);
          const graph = arcFlowGraph(problem, 5000);
          if (graph === null) throw new Error('small graphs are built');
          const outcome = solveModel(arcFlowModel(problem, graph, true), solve, 10);
          expect(outcome.objectiveValue ?? 0).toBeCloseTo(plan.totalCost ?? Number.NaN, 6);
          const flow = exactRuns(problem, arcFlowRuns(problem, graph, outcome) ?? []);
          expect(runsWeight(problem, flow ?? [])).toBeCloseTo(plan.totalCost ?? Number.NaN, 6);
          // pricing must end at the linear optimum over all patterns there are
          const all = maximalPatterns(problem, 1000) ?? [];
          const linear = solveModel(patternModel(problem, all, false), solve, 10);
          const columns = generateColumns(problem, solve, 10);
          expect(columns?.bound ?? 0).toBeCloseTo(linear.objectiveValue ?? Number.NaN, 5);
          expect(columns?.bound ?? 0).toBeLessThanOrEqual((plan.totalCost ?? 0) + 1e-6);
        },
      ),
      { numRuns: 25 },
    );
  });
});

/** Answers every model with its time limit reached and no value for any column. */
const tired: SolveLp = (text) => ({
  status: 'Time limit reached',
  objectiveValue: null,
  primalByColumn: Object.fromEntries(
    [...new Set(text.match(/\b[paz]\d+\b/g) ?? [])].map((name) => [name, null]),
  ),
});

describe('a list too long for patterns', () => {
  const many: CuttingInput = {
    stock: [{ id: 'bar', lengthMm: 6000 }],
    kerfMm: 3,
    pieces: Array.from({ length: 60 }, (_, index) => ({
      id: `p${index}`,
      lengthMm: 1503 + 17 * index,
      count: 1 + (index % 3),
    })),
    timeLimitS: 30,
  };

  it('gets a plan by columns that reaches the material bound', () => {
    const plan = planCutting(many, solve);
    const material = many.pieces.reduce((sum, p) => sum + (p.lengthMm + 3) * p.count, 0) / 6003;
    expect(plan).toMatchObject({
      status: 'optimal',
      method: 'columns',
      stockCount: Math.ceil(material),
      lowerBoundCount: Math.ceil(material),
    });
    const firstFit = firstFitDecreasing(cuttingProblem(many)) ?? [];
    expect(runsWeight(cuttingProblem(many), firstFit)).toBeGreaterThan(plan.stockCount);
    expectPossible(many, plan);
  });

  it('falls back on first fit when the solver runs out of time, and says feasible', () => {
    const plan = planCutting(many, tired);
    expect(plan).toMatchObject({ status: 'feasible', method: 'first-fit', lowerBoundCount: 41 });
    expect(plan.stockCount).toBeGreaterThan(41);
    expectPossible(many, plan);
  });

  it('says unsolved when neither plan nor proof was found', () => {
    const input = {
      stock: [{ id: 'bar', lengthMm: 6000, availableCount: 3 }],
      pieces: pieces([3100, 4], [100, 1]),
    };
    const plan = planCutting(input, tired);
    expect(plan).toMatchObject({ status: 'unsolved', stockCount: 0, patterns: [] });
    // ⌈(4 · 3100 + 100) / 6000⌉ = ⌈2.08⌉
    expect(plan).toMatchObject({ lowerBoundCount: 3, lowerBound: 3 });
    // with a 5 mm cut ⌈(3 · 3006 + 3001) / 6005⌉ = ⌈2.0015⌉; without one 11,999 mm in two of 6000
    const sawn = planCutting(
      {
        stock: [{ id: 'bar', lengthMm: 6000, availableCount: 3 }],
        kerfMm: 5,
        pieces: pieces([3001, 3], [2996, 1]),
      },
      tired,
    );
    expect(sawn).toMatchObject({ lowerBoundCount: 3, lowerBound: 3 });
  });

  // 12,600 mm of pieces in lengths of 6000 and 4000 mm, by hand
  it.each([
    ['length', {}, {}, 14_000], // 12,600, in steps of 2000
    ['cost', { cost: 5 }, { cost: 4 }, 11], // 12,600 / 6000 · 5 = 10.5, in steps of 1
    ['cost', { cost: 5, availableCount: 1 }, { cost: 4 }, 12], // 5 + 6600 / 4000 · 4 = 11.6
    ['cost', { cost: 1.1, availableCount: 2 }, { cost: 2.2 }, 3.3], // 2.2 + 600 / 4000 · 2.2 = 2.53
  ])('bounds the %s by the material alone when no model finishes', (objective, a, b, bound) => {
    const input: CuttingInput = {
      stock: [
        { id: 'long', lengthMm: 6000, ...a },
        { id: 'short', lengthMm: 4000, ...b },
      ],
      pieces: pieces([2500, 3], [1700, 3]),
    };
    const plan = planCutting(input, tired);
    expect(plan).toMatchObject({ objective, method: 'first-fit', lowerBound: bound });
    const best = planCutting(input, solve);
    expect(best.status).toBe('optimal');
    expect(best.lowerBound).toBeGreaterThanOrEqual(bound);
    expectPossible(input, plan);
  });

  it('closes triplets that fill 20 lengths without waste, which columns alone miss', () => {
    // Made so that the optimum is known: 20 times three pieces that add up to the length exactly,
    // drawn as in Falkenauer's t class (1996) [memory]. First fit needs 24.
    let state = 5;
    const random = (): number => {
      state = (state + 0x6d2b79f5) | 0;
      let t = Math.imul(state ^ (state >>> 15), 1 | state);
      t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
      return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
    };
    const countByLength = new Map<number, number>();
    for (let bin = 0; bin < 20; bin += 1) {
      const first = 380 + Math.floor(random() * 111);
      const rest = 1000 - first;
      const second = 250 + Math.floor(random() * (rest / 2 - 250));
      for (const length of [first, second, rest - second]) {
        countByLength.set(length, (countByLength.get(length) ?? 0) + 1);
      }
    }
    const input: CuttingInput = {
      stock: [{ id: 'bar', lengthMm: 1000 }],
      pieces: [...countByLength].map(([lengthMm, count]) => ({
        id: `p${lengthMm}`,
        lengthMm,
        count,
      })),
      timeLimitS: 120,
    };
    const plan = planCutting(input, solve);
    expect(plan).toMatchObject({
      status: 'optimal',
      method: 'arc-flow',
      stockCount: 20,
      lowerBoundCount: 20,
    });
    expect(plan.patterns.every((pattern) => pattern.offcutMm === 0)).toBe(true);
    expectPossible(input, plan);
  }, 180_000);
});

describe('an answer that does not belong to the model', () => {
  const input = {
    stock: [{ id: 'bar', lengthMm: 6000 }],
    pieces: pieces([2500, 4], [1700, 4], [1100, 5]),
  };
  const answer = (rest: Partial<LpOutcome>): SolveLp => {
    return () => ({ status: 'Optimal', objectiveValue: 1, primalByColumn: {}, ...rest });
  };
  it('is refused by its status', () => {
    expect(() => planCutting(input, answer({ status: 'Empty' }))).toThrow(
      /^solver\.status = Empty/,
    );
  });
  it('is refused by its number of columns', () => {
    expect(() => planCutting(input, answer({}))).toThrow(/^solver\.columns = 0/);
  });
  it('is refused when it denies a plan that is known', () => {
    const denying: SolveLp = (text, limit) => ({ ...solve(text, limit), status: 'Infeasible' });
    expect(() => planCutting(input, denying)).toThrow(/^solver\.status = Infeasible/);
  });
  it('comes from text that HiGHS cannot read, as Empty without an error', () => {
    expect(solve('not a model', 1).status).toBe('Empty');
  });
  it('is never trusted over the counting of pieces', () => {
    // claims optimal with no length used: the plan falls back on first fit
    const lying: SolveLp = (text, limit) => {
      const outcome = solve(text, limit);
      const names = Object.keys(outcome.primalByColumn);
      return { ...outcome, primalByColumn: Object.fromEntries(names.map((name) => [name, 0])) };
    };
    const plan = planCutting(input, lying);
    expect(plan.method).toBe('first-fit');
    expectPossible(input, plan);
  });
});

describe('text of a model', () => {
  it('lists objective, rows, bounds and whole columns', () => {
    const x = { column: 'x', coefficient: 2 };
    const y = { column: 'y', coefficient: -1 };
    const text = lpText({
      objective: [x],
      rows: [{ terms: [x, y], sense: '>=', rightSide: 3 }],
      upperBounds: [{ column: 'y', atMost: 4 }],
      isInteger: true,
    });
    expect(text.split('\n').map((line) => line.trim())).toEqual([
      'Minimize',
      'obj: + 2 x',
      'Subject To',
      'r0: + 2 x - 1 y >= 3',
      'Bounds',
      'y <= 4',
      'General',
      'x',
      'y',
      'End',
      '',
    ]);
  });

  it('refuses an empty row', () => {
    expect(() =>
      lpText({
        objective: [{ column: 'x', coefficient: 1 }],
        rows: [{ terms: [], sense: '=', rightSide: 0 }],
        upperBounds: [],
        isInteger: false,
      }),
    ).toThrow(/^model /);
    expect(lpColumns({ objective: [], rows: [], upperBounds: [], isInteger: false })).toEqual([]);
  });
});

describe('a cut list refuses, naming the field', () => {
  const bar = { id: 'bar', lengthMm: 6000 };
  const piece = { id: 'p', lengthMm: 100, count: 1 };
  const good: CuttingInput = { stock: [bar], pieces: [piece] };
  it.each([
    ['stock', { ...good, stock: [] }],
    ['pieces', { ...good, pieces: [] }],
    ['stock.id', { ...good, stock: [bar, bar] }],
    ['pieces.id', { ...good, pieces: [piece, piece] }],
    ['kerfMm', { ...good, kerfMm: -1 }],
    ['kerfMm', { ...good, kerfMm: 0.00005 }],
    ['timeLimitS', { ...good, timeLimitS: 0 }],
    ['usableOffcutMm', { ...good, usableOffcutMm: -1 }],
    ['stock[0].lengthMm', { ...good, stock: [{ ...bar, lengthMm: 0 }] }],
    ['stock[0].lengthMm', { ...good, stock: [{ ...bar, lengthMm: 2e6 }] }],
    ['stock[0].availableCount', { ...good, stock: [{ ...bar, availableCount: -1 }] }],
    ['stock[0].cost', { ...good, stock: [{ ...bar, cost: 0 }] }],
    [
      'stock[1].cost',
      {
        ...good,
        stock: [
          { ...bar, cost: 1 },
          { ...bar, id: 'b' },
        ],
      },
    ],
    ['pieces[0].lengthMm', { ...good, pieces: [{ ...piece, lengthMm: Number.NaN }] }],
    ['pieces[0].lengthMm', { ...good, pieces: [{ ...piece, lengthMm: 0.12345 }] }],
    ['pieces[0].count', { ...good, pieces: [{ ...piece, count: 0 }] }],
    ['pieces[0].count', { ...good, pieces: [{ ...piece, count: 1.5 }] }],
  ])('%s', (field, input) => {
    expect(() => planCutting(input, solve)).toThrow(
      new RegExp(`^${field.replace(/[[\].]/g, '\\$&')} `),
    );
  });
});
