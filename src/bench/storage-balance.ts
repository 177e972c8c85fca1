import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { summariseStorage } from '../../shared/hydrology/storage-summary.ts';
import { printBenchLine } from './bench-line.ts';
import { interleaved } from './median-time.ts';

const YEARS = 30;
const DAYS = 10_957;
const TANKS = 40;
const REPEATS = 20;

/** The same daily loop, one tank at a time, as a C programmer would write it. */
const C_LOOP = `
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
static double q[${DAYS}], d[${DAYS}];
int main(void) {
  unsigned long long state = 1; double sum = 0;
  for (int t = 0; t < ${DAYS}; t++) {
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    double u = (double)(state >> 33) / 2147483648.0;
    q[t] = u < 0.7 ? 0 : (u - 0.7) * 2000; d[t] = 100;
  }
  struct timespec a, b; clock_gettime(CLOCK_MONOTONIC, &a);
  for (int r = 0; r < ${REPEATS}; r++) for (int k = 0; k < ${TANKS}; k++) {
    double S = 500.0 * (k + 1), V = 0, Y = 0, O = 0; long met = 0, zero = 0, run = 0, longest = 0;
    for (int t = 0; t < ${DAYS}; t++) {
      double y = d[t] < V ? d[t] : V, v = V + q[t] - y, cap = S - y;
      if (v > cap) { O += v - cap; v = cap; }
      if (y >= d[t] - 1e-9) { met++; run = 0; } else { run++; if (run > longest) longest = run; if (y <= 1e-9) zero++; }
      V = v; Y += y;
    }
    sum += Y + O + met + zero + longest + V;
  }
  clock_gettime(CLOCK_MONOTONIC, &b);
  double ns = (b.tv_sec - a.tv_sec) * 1e9 + (b.tv_nsec - a.tv_nsec);
  printf("%.6f %.1f\\n", ns / ((double)${REPEATS} * ${TANKS} * ${DAYS}), sum);
  return 0;
}`;

/** Nanoseconds a day-step of the storage balance, against the same loop in C where gcc is there. */
export async function benchStorageBalance(): Promise<void> {
  const dailyInflowL = new Float64Array(DAYS);
  let state = 1n;
  for (let day = 0; day < DAYS; day++) {
    state =
      (state * 6_364_136_223_846_793_005n + 1_442_695_040_888_963_407n) & 0xffff_ffff_ffff_ffffn;
    const u = Number(state >> 33n) / 2_147_483_648;
    dailyInflowL[day] = u < 0.7 ? 0 : (u - 0.7) * 2_000;
  }
  const capacitiesL = Array.from({ length: TANKS }, (_, index) => 500 * (index + 1));
  const run = () =>
    summariseStorage({
      dailyInflowL,
      demandLPerDay: 100,
      operatingRule: 'yield-after-spillage',
      initialVolumeL: 0,
      capacitiesL,
    });
  const { oursMs } = await interleaved(REPEATS, run, () => undefined);
  const nsPerStep = (oursMs * 1e6) / (TANKS * DAYS);
  printBenchLine({
    name: 'storage-balance',
    value: nsPerStep,
    unit: 'ns/day-step',
    baseline: cLoopNs(),
    note: `${YEARS} years of days, ${TANKS} tanks, yield after spillage; baseline: the same loop in C, gcc -O2`,
  });
}

function cLoopNs(): number | null {
  const folder = mkdtempSync(join(tmpdir(), 'hoopwright-bench-'));
  try {
    writeFileSync(join(folder, 'loop.c'), C_LOOP);
    execFileSync('gcc', ['-O2', '-o', join(folder, 'loop'), join(folder, 'loop.c')], {
      stdio: 'ignore',
    });
    const runs = Array.from({ length: 3 }, () =>
      Number(execFileSync(join(folder, 'loop'), { encoding: 'utf8' }).split(' ')[0]),
    );
    return Math.min(...runs);
  } catch {
    process.stderr.write(
      'gcc is not on this machine: the storage balance is measured without its baseline\n',
    );
    return null;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
