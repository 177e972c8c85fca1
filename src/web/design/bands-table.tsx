import type { TankBand } from '../../../shared/structure/tank-bands.ts';
import { formatExact, formatPercent } from '../language/format.ts';
import { Table } from '../parts/table.tsx';
import { formatReading } from './reading.ts';
import { say } from './say.ts';
import { Used } from './used.tsx';

interface NumberedBand {
  readonly number: number;
  readonly band: TankBand;
}

/** What each band carries, from the top down. */
export function BandsTable({ bands }: { readonly bands: readonly TankBand[] }) {
  const rows = bands.map((band, index): NumberedBand => ({ number: index + 1, band }));
  return (
    <section class="stack">
      <h2>{say('bands')}</h2>
      <Table
        caption={say('bands')}
        hidesCaption
        rows={rows}
        keyOf={({ number }) => String(number)}
        columns={[
          { title: say('band'), isHead: true, cell: ({ number }) => number },
          {
            title: say('below-water'),
            isNumber: true,
            cell: ({ band }) => <Exact value={band.levelBelowWaterM} unit="m" />,
          },
          {
            title: say('above-floor'),
            isNumber: true,
            cell: ({ band }) => <Exact value={band.heightAboveFloorM} unit="m" />,
          },
          {
            title: say('load'),
            isNumber: true,
            cell: ({ band }) => <Exact value={band.loadN} unit="N" />,
          },
          {
            title: say('gross-stress'),
            isNumber: true,
            cell: ({ band }) => <Exact value={band.grossStressPa} unit="Pa" />,
          },
          {
            title: say('net-stress'),
            isNumber: true,
            cell: ({ band }) => <Exact value={band.netStressPa} unit="Pa" />,
          },
          {
            title: say('used'),
            cell: ({ band }) => (
              <Used ratio={band.utilisationRatio}>{formatPercent(band.utilisationRatio, 1)}</Used>
            ),
          },
        ]}
      />
    </section>
  );
}

/** A value rounded for reading, with every digit at hand. */
export function Exact({ value, unit }: { readonly value: number; readonly unit: string }) {
  return (
    <data value={value} title={`${formatExact(value)} ${unit}`}>
      {formatReading(value, unit)}
    </data>
  );
}
