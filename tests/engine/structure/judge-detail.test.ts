import { describe, expect, it } from 'vitest';
import { judge, judgeDetail } from '../../../shared/index.ts';

const distance = (demand: number) => ({
  id: 'band-spacing',
  title: 'Distance',
  demand,
  capacity: 0.6,
  unit: 'm',
  source: 'project-limit' as const,
});

describe('a rule of detailing', () => {
  it('is kept up to its limit, where a strength would ask for a review', () => {
    expect(judge(distance(0.6)).outcome).toBe('review');
    expect(judgeDetail(distance(0.6))).toMatchObject({ outcome: 'pass', utilisationRatio: 1 });
    expect(judgeDetail(distance(0.3)).outcome).toBe('pass');
  });

  it('is broken beyond it', () => {
    expect(judgeDetail(distance(0.61)).outcome).toBe('fail');
    expect(() => judgeDetail(distance(Number.NaN))).toThrow('band-spacing.demand');
  });
});
