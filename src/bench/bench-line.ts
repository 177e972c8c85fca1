/** One measured figure; `ratio` is value over baseline, both measured in the same run. */
export interface BenchLine {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly baseline: number | null;
  readonly ratio: number | null;
  readonly note: string;
}

const rounded = (value: number | null) => (value === null ? null : Number(value.toPrecision(4)));

/** Prints one JSON object on a line of its own. */
export function printBenchLine(line: Omit<BenchLine, 'ratio'>): void {
  const { name, value, unit, baseline, note } = line;
  const ratio = baseline === null || baseline === 0 ? null : value / baseline;
  process.stdout.write(
    `${JSON.stringify({ name, value: rounded(value), unit, baseline: rounded(baseline), ratio: rounded(ratio), note })}\n`,
  );
}
