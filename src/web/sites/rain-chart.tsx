import { axisX, axisY, barY, plot, ruleY } from '@observablehq/plot';
import { useCallback } from 'preact/hooks';
import { Drawn } from './drawn.tsx';
import { monthName } from './months.ts';
import { say } from './say.ts';

interface RainChartProps {
  /** January first; null for a month without data. */
  readonly rainByMonthMm: readonly (number | null)[];
}

/** Mean rain of each month as bars. */
export function RainChart({ rainByMonthMm }: RainChartProps) {
  const draw = useCallback(
    (width: number) => {
      const bars = rainByMonthMm.map((rainMm, index) => ({ month: index + 1, rainMm }));
      return plot({
        width,
        height: 220,
        marginLeft: 44,
        x: { type: 'band' },
        marks: [
          axisX({
            label: null,
            tickFormat: (month: number) => monthName(month, 'short').slice(0, 3),
          }),
          axisY({ label: say('rain-mm'), ticks: 4 }),
          barY(bars, { x: 'month', y: 'rainMm', fill: 'var(--water)' }),
          ruleY([0]),
        ],
      });
    },
    [rainByMonthMm],
  );
  return <Drawn label={say('rain-alt')} draw={draw} />;
}
