import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { summariseStorage } from '../../shared/hydrology/storage-summary.ts';
import { printBenchLine } from './bench-line.ts';
import { median } from './median-time.ts';

const YEARS = 30;
const DAYS = 10_957;
const TANKS = 40;
const REPEATS = 1;
const WARM_UPS = 200;
const ROUNDS = 150;

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

/**
 * Nanoseconds a day-step of the storage balance, against the same loop in C where gcc is there.
 * Both carry all tanks through the record once a round, in turn; the least of the rounds counts on
 * both sides, since a round that the machine interrupts measures the machine.
 */
export async function benchStorageBalance(): Promise<void> {
  const dailyInflowL = madeInflowL();
  const capacitiesL = Array.from({ length: TANKS }, (_, index) => 500 * (index + 1));
  const run = () =>
    summariseStorage({
      dailyInflowL,
      demandLPerDay: 100,
      operatingRule: 'yield-after-spillage',
      initialVolumeL: 0,
      capacitiesL,
    });
  const oursNs = () => {
    const from = process.hrtime.bigint();
    run();
    return Number(process.hrtime.bigint() - from) / (TANKS * DAYS);
  };
  const loop = compiledLoop();
  try {
    const ours: number[] = [];
    const inC: number[] = [];
    for (let round = 0; round < WARM_UPS; round++) run();
    for (let round = 0; round < ROUNDS; round++) {
      ours.push(oursNs());
      if (loop) inC.push(loop.nsPerStep());
    }
    const medians = loop ? `; median over median ${(median(ours) / median(inC)).toFixed(2)}` : '';
    printBenchLine({
      name: 'storage-balance',
      value: Math.min(...ours),
      unit: 'ns/day-step',
      baseline: loop ? Math.min(...inC) : null,
      note: `${YEARS} years of days, ${TANKS} tanks, yield after spillage, checks and summaries included, least of ${ROUNDS} rounds in turn; baseline: the same loop in C, gcc -O2, least of as many${medians}`,
    });
  } finally {
    loop?.remove();
  }
}

/** Seven days in ten dry, the others up to 600 L; the C program makes the same. */
function madeInflowL(): Float64Array {
  const dailyInflowL = new Float64Array(DAYS);
  let state = 1n;
  for (let day = 0; day < DAYS; day++) {
    state =
      (state * 6_364_136_223_846_793_005n + 1_442_695_040_888_963_407n) & 0xffff_ffff_ffff_ffffn;
    const u = Number(state >> 33n) / 2_147_483_648;
    dailyInflowL[day] = u < 0.7 ? 0 : (u - 0.7) * 2_000;
  }
  return dailyInflowL;
}

function compiledLoop() {
  const folder = mkdtempSync(join(tmpdir(), 'hoopwright-bench-'));
  const remove = () => rmSync(folder, { recursive: true, force: true });
  const program = join(folder, 'loop');
  try {
    writeFileSync(`${program}.c`, C_LOOP);
    execFileSync('gcc', ['-O2', '-o', program, `${program}.c`], { stdio: 'ignore' });
  } catch {
    remove();
    process.stderr.write(
      'gcc is not on this machine: the storage balance is measured without its baseline\n',
    );
    return null;
  }
  const nsPerStep = () => Number(execFileSync(program, { encoding: 'utf8' }).split(' ')[0]);
  return { nsPerStep, remove };
}
