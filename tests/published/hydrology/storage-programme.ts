import highsModule from 'highs';

// The package types its module entry as CommonJS, one level too deep.
const loadHighs = highsModule as unknown as typeof highsModule.default;
const highs = await loadHighs();

/**
 * Independent method: the storage problem as a linear programme, solved by HiGHS.
 *
 *   V_t − V_{t−1} + O_t + D = Q_t,  0 ≤ V_t ≤ S,  O_t ≥ 0
 *
 * with V_0 = V_N (cyclic) or V_0 = S (full). Either D is given and S is least, or S is given and D
 * is greatest.
 */
export function storageProgramme(
  dailyInflowL: readonly number[],
  goal: { demandLPerDay: number } | { capacityL: number },
  start: 'cyclic' | 'full',
): number {
  const isLeastStorage = 'demandLPerDay' in goal;
  const last = dailyInflowL.length - 1;
  const balance = dailyInflowL.map((inflow, t) => {
    const before = t > 0 ? `v${t - 1}` : start === 'cyclic' ? `v${last}` : 's';
    return ` b${t}: v${t} - ${before} + o${t} + d = ${inflow}`;
  });
  const room = dailyInflowL.map((_, t) => ` r${t}: v${t} - s <= 0`);
  const fixed = isLeastStorage ? ` d = ${goal.demandLPerDay}` : ` s = ${goal.capacityL}`;
  const text = [
    isLeastStorage ? 'Minimize' : 'Maximize',
    ` goal: ${isLeastStorage ? 's' : 'd'}`,
    'Subject To',
    ...balance,
    ...room,
    'Bounds',
    fixed,
    'End',
  ].join('\n');
  const solution = highs.solve(text);
  const columns = Object.keys(solution.Columns).length;
  if (solution.Status !== 'Optimal' || columns !== 2 * dailyInflowL.length + 2) {
    throw new Error(`programme not solved: ${solution.Status}, ${columns} columns`);
  }
  return solution.ObjectiveValue;
}
