import { formatNumber } from '../language/format.ts';

interface Scaled {
  readonly factor: number;
  readonly unit: string;
}

/** The multiple of a unit in which a value is easiest to read. */
function scaleOf(value: number, unit: string): Scaled {
  const size = Math.abs(value);
  if (unit === 'Pa')
    return size >= 1e6 ? { factor: 1e-6, unit: 'MPa' } : { factor: 1e-3, unit: 'kPa' };
  if (unit === 'N' && size >= 1_000) return { factor: 1e-3, unit: 'kN' };
  if (unit === 'N·m' && size >= 1_000) return { factor: 1e-3, unit: 'kN·m' };
  return { factor: 1, unit: unit === 'ratio' ? '' : unit };
}

/** A value with its unit, to four significant digits: for reading, not for comparing. */
export function formatReading(value: number, unit: string): string {
  const scaled = scaleOf(value, unit);
  const shown = value * scaled.factor;
  const decimals =
    shown === 0 ? 0 : Math.max(0, Math.min(6, 3 - Math.floor(Math.log10(Math.abs(shown)))));
  return `${formatNumber(shown, decimals)}${scaled.unit ? `\u00a0${scaled.unit}` : ''}`;
}
