export { RainChart } from './rain-chart.tsx';
export { ReliabilityChart } from './reliability-chart.tsx';
