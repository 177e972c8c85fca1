import { v7 as uuidv7 } from 'uuid';
import {
  MAX_RAIN_DAYS,
  type NewRainSeries,
  type NewRainStation,
  type RainFileQuery,
  type RainSeries,
  type RainSeriesHead,
  type RainSeriesRecorded,
  type RainStation,
  type RainStationPatch,
  type RainSummary,
} from '../../../shared/contract/rain.ts';
import {
  checkRainfallSeries,
  type RainfallSeries,
} from '../../../shared/hydrology/rainfall-series.ts';
import {
  longestDryRun,
  rainfallByCalendarMonth,
  WET_DAY_FROM_MM,
  wetDayCount,
} from '../../../shared/hydrology/rainfall-statistics.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import { invalidContent } from '../../domain/errors.ts';
import { runInWorker } from '../../workers/pool.ts';
import { undeclaredGaps } from './missing-days.ts';
import type { RainSeriesStore } from './repository.ts';

const READING_LIMIT_MS = 20_000;

export interface Rain {
  readonly stations: DocumentStore<RainStation, NewRainStation, RainStationPatch>;
  /** `query` must be empty: it describes files only. */
  record(
    tx: Tx,
    stationId: string,
    input: NewRainSeries,
    query?: RainFileQuery,
  ): Promise<RainSeriesRecorded>;
  recordFile(
    tx: Tx,
    stationId: string,
    bytes: Uint8Array,
    query: RainFileQuery,
  ): Promise<RainSeriesRecorded>;
  list(
    tx: Tx,
    stationId: string,
    page: { limit: number; after: readonly string[] | null },
  ): Promise<RainSeriesHead[]>;
  get(tx: Tx, id: string): Promise<RainSeries>;
}

export function createRain(stations: Rain['stations'], series: RainSeriesStore): Rain {
  async function record(
    tx: Tx,
    stationId: string,
    input: NewRainSeries,
    lineOfDay: readonly number[] | null,
  ): Promise<RainSeriesRecorded> {
    await stations.get(tx, stationId);
    const { id = uuidv7(), startsOn, dailyRainMm, source, missingDaysDeclared } = input;
    if (!missingDaysDeclared && dailyRainMm.includes(null)) {
      throw undeclaredGaps(input, lineOfDay);
    }
    const check = checkRainfallSeries({ startsOn, dailyRainMm }, 'count-as-dry');
    await series.insert(tx, {
      id,
      stationId,
      startsOn,
      endsOn: check.endsOn,
      dailyRainMm,
      missingDayCount: check.missingOn.length,
      missingDaysDeclared,
      source,
    });
    await tx.audit('create', 'rain series', id, {
      stationId,
      startsOn,
      endsOn: check.endsOn,
      missingDayCount: check.missingOn.length,
    });
    const { dailyRainMm: _, ...recorded } = await get(tx, id);
    return recorded;
  }

  async function get(tx: Tx, id: string): Promise<RainSeries> {
    const { head, dailyRainMm } = await series.get(tx, id);
    const taken = { startsOn: head.startsOn, dailyRainMm };
    const { missingOn } = checkRainfallSeries(taken, 'count-as-dry');
    return {
      ...head,
      missingOn: [...missingOn],
      summary: summarise(taken),
      dailyRainMm: [...dailyRainMm],
    };
  }

  return {
    stations,
    async record(tx, stationId, input, query = {}) {
      const [stray] = Object.keys(query);
      if (stray !== undefined) {
        throw invalidContent([
          {
            pointer: `/${stray}`,
            code: 'field.unknown',
            message: 'belongs in the body; in the query it describes a CSV file',
          },
        ]);
      }
      return record(tx, stationId, input, null);
    },
    async recordFile(tx, stationId, bytes, { source, missingDaysDeclared, id }) {
      if (source === undefined) {
        throw invalidContent([
          {
            pointer: '/source',
            code: 'field.missing',
            message: 'must be in the query: a CSV file does not say where the rain was measured',
          },
        ]);
      }
      await stations.get(tx, stationId);
      const file = await runInWorker(
        'read-rain-file',
        { bytes, maxDays: MAX_RAIN_DAYS },
        { timeoutMs: READING_LIMIT_MS },
      );
      const input: NewRainSeries = {
        ...(id ? { id } : {}),
        startsOn: file.startsOn,
        dailyRainMm: [...file.dailyRainMm],
        source,
        missingDaysDeclared: missingDaysDeclared === 'true',
      };
      return record(tx, stationId, input, file.lineOfDay);
    },
    async list(tx, stationId, page) {
      await stations.get(tx, stationId);
      return series.list(tx, stationId, page);
    },
    get,
  };
}

function summarise(series: RainfallSeries): RainSummary {
  const { totalRainMm, greatestDailyRainMm, greatestOn } = checkRainfallSeries(
    series,
    'count-as-dry',
  );
  const meanRainByMonthMm = rainfallByCalendarMonth(series).map(({ meanRainMm }) => meanRainMm);
  return {
    wetDayFromMm: WET_DAY_FROM_MM,
    wetDayCount: wetDayCount(series),
    totalRainMm,
    meanAnnualRainMm: meanRainByMonthMm.reduce<number | null>(
      (sum, meanRainMm) => (sum === null || meanRainMm === null ? null : sum + meanRainMm),
      0,
    ),
    meanRainByMonthMm,
    greatestDailyRainMm,
    greatestOn,
    longestDryRun: longestDryRun(series),
  };
}
