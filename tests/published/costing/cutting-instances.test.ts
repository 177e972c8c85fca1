import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it, vi } from 'vitest';
import {
  type CuttingPlan,
  type LpOutcome,
  planCutting,
  type SolveLp,
} from '../../../shared/index.ts';
import { arcFlowGraph, arcFlowModel } from '../../../shared/procurement/cutting-arc-flow.ts';
import { generateColumns } from '../../../shared/procurement/cutting-columns.ts';
import { firstFitDecreasing, runsWeight } from '../../../shared/procurement/cutting-first-fit.ts';
import { maximalPatterns, patternModel } from '../../../shared/procurement/cutting-patterns.ts';
import { cuttingProblem, materialBoundCount } from '../../../shared/procurement/cutting-problem.ts';
import { lpColumns, solveModel } from '../../../shared/procurement/lp-text.ts';
import { highsSolver } from '../../support/highs-solver.ts';
import { expectPrinted } from '../takeoff/printed.ts';
import published from './cutting-instances.json' with { type: 'json' };

// Solving and thousands of draws are slow on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

let solve: SolveLp;
let answers: LpOutcome[];
beforeAll(async () => {
  ({ solve, answers } = await highsSolver());
});

const listOf = (stockMm: number, pieces: readonly (readonly number[])[]) => ({
  stock: [{ id: 'length', lengthMm: stockMm }],
  pieces: pieces.map(([lengthMm = 0, count = 0]) => ({ id: `p${lengthMm}`, lengthMm, count })),
  timeLimitS: 60,
});

function falkenauer() {
  const text = readFileSync(new URL('bpplib/Falkenauer_u120_00.csp.txt', import.meta.url), 'utf8');
  const [types = 0, stockMm = 0, ...rest] = text.trim().split(/\s+/).map(Number);
  const pieces = Array.from({ length: types }, (_, index) => rest.slice(2 * index, 2 * index + 2));
  return listOf(stockMm, pieces);
}

/** Every piece cut as often as asked, every length long enough: by counting, apart from the engine. */
function expectCut(input: ReturnType<typeof listOf>, plan: CuttingPlan): void {
  const lengthById = new Map(input.pieces.map((piece) => [piece.id, piece.lengthMm]));
  const cut = new Map<string, number>();
  for (const { times, pieces, offcutMm } of plan.patterns) {
    let used = 0;
    for (const { id, count } of pieces) {
      used += count * (lengthById.get(id) ?? Number.NaN);
      cut.set(id, (cut.get(id) ?? 0) + count * times);
    }
    expect(used + offcutMm).toBeCloseTo(input.stock[0]?.lengthMm ?? 0, 6);
  }
  for (const piece of input.pieces) expect(cut.get(piece.id), piece.id).toBe(piece.count);
  expect(plan.patterns.reduce((sum, pattern) => sum + pattern.times, 0)).toBe(plan.stockCount);
}

const { paperRolls, chvatal } = published;

describe('cutting 13 widths from 5600 mm [memory]', () => {
  const input = listOf(paperRolls.stockMm, paperRolls.pieces);
  const problem = cuttingProblem(input);

  it('has 213 maximal patterns and the printed bounds', () => {
    const patterns = maximalPatterns(problem, 1000);
    expect(patterns).toHaveLength(paperRolls.maximalPatterns);
    const material = paperRolls.pieces.reduce((sum, [l = 0, d = 0]) => sum + l * d, 0) / 5600;
    expectPrinted(material, paperRolls.materialBound);
    expect(materialBoundCount(problem)).toBe(Math.ceil(material));
    const linear = solveModel(patternModel(problem, patterns ?? [], false), solve, 10);
    expect(linear.status).toBe('Optimal');
    expect(Object.keys(linear.primalByColumn)).toHaveLength(paperRolls.maximalPatterns);
    expectPrinted(linear.objectiveValue ?? 0, paperRolls.linearBound);
    const firstFit = firstFitDecreasing(problem);
    expect(runsWeight(problem, firstFit ?? [])).toBe(paperRolls.firstFit);
  });

  it('needs 73 rolls, proved by the patterns', () => {
    answers.length = 0;
    const plan = planCutting(input, solve);
    expect(plan).toMatchObject({
      status: 'optimal',
      method: 'patterns',
      objective: 'count',
      stockCount: paperRolls.optimum,
      lowerBoundCount: paperRolls.optimum,
    });
    expectCut(input, plan);
    expect(answers.map(({ status }) => status)).toEqual(['Optimal']);
    expect(Object.keys(answers[0]?.primalByColumn ?? {})).toHaveLength(paperRolls.maximalPatterns);
  });

  it('needs 73 rolls by arc-flow too', () => {
    const graph = arcFlowGraph(problem, 5000);
    if (graph === null) throw new Error('the graph is small');
    const model = arcFlowModel(problem, graph, true);
    const outcome = solveModel(model, solve, 30);
    expect(outcome.status).toBe('Optimal');
    expect(Object.keys(outcome.primalByColumn)).toHaveLength(lpColumns(model).length);
    expect(Math.round(outcome.objectiveValue ?? 0)).toBe(paperRolls.optimum);
  });

  it('is bounded alike by columns generated one by one', () => {
    const generated = generateColumns(problem, solve, 30);
    expectPrinted(generated?.bound ?? 0, paperRolls.linearBound);
    expect(runsWeight(problem, generated?.runs ?? [])).toBeGreaterThanOrEqual(paperRolls.optimum);
    expect(runsWeight(problem, generated?.runs ?? [])).toBeLessThanOrEqual(paperRolls.optimum + 1);
  });
});

describe('cutting four widths from 100 [memory]', () => {
  const input = listOf(chvatal.stockMm, chvatal.pieces);
  const problem = cuttingProblem(input);

  it('needs 453 where first fit needs 485', () => {
    const firstFit = firstFitDecreasing(problem);
    expect(runsWeight(problem, firstFit ?? [])).toBe(chvatal.firstFit);
    const linear = solveModel(
      patternModel(problem, maximalPatterns(problem, 1000) ?? [], false),
      solve,
      10,
    );
    expectPrinted(linear.objectiveValue ?? 0, chvatal.linearBound);
    const plan = planCutting(input, solve);
    expect(plan).toMatchObject({ status: 'optimal', stockCount: chvatal.optimum });
    expectCut(input, plan);
  });
});

describe('Falkenauer u120_00, 58 types', () => {
  const input = falkenauer();
  const problem = cuttingProblem(input);

  it('has the bounds of the table', () => {
    const material = input.pieces.reduce((sum, p) => sum + p.lengthMm * p.count, 0) / 150;
    expectPrinted(material, published.falkenauer.materialBound);
    const firstFit = firstFitDecreasing(problem);
    expect(runsWeight(problem, firstFit ?? [])).toBe(published.falkenauer.firstFit);
    expect(maximalPatterns(problem, 1500)).toBeNull();
  });

  it('needs 48, proved', () => {
    answers.length = 0;
    const plan = planCutting(input, solve);
    expect(plan).toMatchObject({
      status: 'optimal',
      stockCount: published.falkenauer.optimum,
      lowerBoundCount: published.falkenauer.optimum,
    });
    expectCut(input, plan);
    expect(answers.at(-1)?.status).toBe('Optimal');
    expect(answers.every((answer) => Object.keys(answer.primalByColumn).length > 0)).toBe(true);
  });

  it('has an arc-flow model of the same linear bound', () => {
    const graph = arcFlowGraph(problem, 5000);
    if (graph === null) throw new Error('the graph is small enough');
    const model = arcFlowModel(problem, graph, false);
    const outcome = solveModel(model, solve, 60);
    expect(outcome.status).toBe('Optimal');
    expect(Object.keys(outcome.primalByColumn)).toHaveLength(lpColumns(model).length);
    // the graph allows no pattern beyond the demand, so its bound may lie above the printed one
    expect(outcome.objectiveValue ?? 0).toBeGreaterThan(47.2655);
    expect(Math.ceil((outcome.objectiveValue ?? 0) - 1e-6)).toBe(published.falkenauer.optimum);
  });

  it('has the printed linear bound by column generation', () => {
    const generated = generateColumns(problem, solve, 30);
    expectPrinted(generated?.bound ?? 0, published.falkenauer.linearBound);
  });
});

describe('triplets t60_00, 50 types that waste nothing', () => {
  const { stockMm, pieces, materialBound, optimum, firstFit } = published.triplets;
  const input = listOf(stockMm, pieces);
  const problem = cuttingProblem(input);

  it('has the material bound and the first fit of the table', () => {
    expect(input.pieces).toHaveLength(50);
    const material = input.pieces.reduce((sum, p) => sum + p.lengthMm * p.count, 0) / stockMm;
    expectPrinted(material, materialBound);
    expect(runsWeight(problem, firstFitDecreasing(problem) ?? [])).toBe(firstFit);
  });

  it('needs 20, proved, where columns alone may end one too high', () => {
    const plan = planCutting(input, solve);
    expect(plan).toMatchObject({
      status: 'optimal',
      stockCount: optimum,
      lowerBoundCount: optimum,
    });
    expectCut(input, plan);
  });
});
