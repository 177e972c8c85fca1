import { axisX, axisY, dot, line, plot, ruleY, text } from '@observablehq/plot';
import { useCallback, useMemo } from 'preact/hooks';
import { ROOF_KIND_FACTS } from '../../../shared/hydrology/roof-kinds.ts';
import { dailyInflow } from '../../../shared/hydrology/runoff.ts';
import { summariseStorage } from '../../../shared/hydrology/storage-summary.ts';
import { formatNumber, formatPercent } from '../language/format.ts';
import { Drawn } from './drawn.tsx';
import { say } from './say.ts';
import type { SiteFacts } from './site-page.tsx';

const STEP_COUNT = 60;
const SMALLEST_L = 200;
const LARGEST_L = 20_000;

/** Capacities from the smallest to the largest tank, closer together where they are small. */
const CAPACITIES_L = Array.from(
  { length: STEP_COUNT },
  (_, step) => SMALLEST_L + (LARGEST_L - SMALLEST_L) * (step / (STEP_COUNT - 1)) ** 2,
);

interface ReliabilityChartProps {
  readonly facts: SiteFacts;
  readonly dailyRainMm: readonly number[];
}

interface Point {
  readonly capacityL: number;
  readonly percent: number;
}

/** How the reliability of this roof and demand grows with the capacity; standard tanks as dots. */
function curveOf({ site, programme, sizing }: SiteFacts, dailyRainMm: readonly number[]): Point[] {
  const demandLPerDay = sizing?.demandLPerDay;
  if (!demandLPerDay) return [];
  const roof = {
    planAreaM2: site.roofAreaM2,
    runoffCoefficient: site.runoffCoefficient ?? ROOF_KIND_FACTS[site.roofKind].runoffCoefficient,
    gutterEfficiencyRatio: programme.gutterEfficiencyRatio,
  };
  const dailyInflowL = dailyInflow({
    roofs: [roof],
    dailyRainMm,
    firstFlushMm: programme.firstFlushMm,
  });
  return summariseStorage({
    dailyInflowL,
    demandLPerDay,
    capacitiesL: CAPACITIES_L,
    operatingRule: programme.operatingRule,
  }).map(({ capacityL, volumetricReliabilityRatio }) => ({
    capacityL,
    percent: volumetricReliabilityRatio * 100,
  }));
}

export function ReliabilityChart({ facts, dailyRainMm }: ReliabilityChartProps) {
  const points = useMemo(() => curveOf(facts, dailyRainMm), [facts, dailyRainMm]);
  const draw = useCallback((width: number) => drawing(facts, points, width), [facts, points]);
  return <Drawn label={say('curve-alt')} draw={draw} />;
}

function drawing({ programme, sizing }: SiteFacts, points: readonly Point[], width: number) {
  const targetPercent = programme.targetReliabilityRatio * 100;
  const tanks = (sizing?.candidates ?? []).map((candidate) => ({
    capacityL: candidate.capacityL,
    percent: candidate.volumetricReliabilityRatio * 100,
    isChosen: candidate.designRevisionId === sizing?.designRevisionId,
  }));
  const chosen = tanks.filter(({ isChosen }) => isChosen);
  return plot({
    width,
    height: 320,
    marginLeft: 48,
    marginBottom: 44,
    x: { domain: [0, LARGEST_L] },
    y: { domain: [0, 100] },
    marks: [
      axisX({
        label: say('curve-x'),
        ticks: 5,
        tickFormat: (litres: number) => formatNumber(litres),
      }),
      axisY({ label: say('curve-y'), ticks: 5 }),
      ruleY([targetPercent], { strokeDasharray: '6 4' }),
      text([targetPercent], {
        y: (percent: number) => percent,
        x: 0,
        text: () => say('curve-target', { percent: formatPercent(targetPercent / 100) }),
        textAnchor: 'start',
        dx: 6,
        dy: -8,
      }),
      line(points, { x: 'capacityL', y: 'percent', strokeWidth: 2.5, className: 'curve' }),
      dot(tanks, {
        x: 'capacityL',
        y: 'percent',
        r: 5,
        fill: 'var(--paper)',
        stroke: 'currentColor',
        strokeWidth: 2,
      }),
      dot(chosen, { x: 'capacityL', y: 'percent', r: 8, fill: 'currentColor', symbol: 'square' }),
    ],
  });
}
