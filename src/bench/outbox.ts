import type { AddressInfo } from 'node:net';
import sharp from 'sharp';
import { v7 as uuidv7 } from 'uuid';
import type { SyncResults } from '../../shared/contract/sync.ts';
import { buildApp } from '../app.ts';
import { printBenchLine } from './bench-line.ts';
import type { Season } from './season-database.ts';

const RECORDS = 1_000;
const PHOTOS = 50;
const BUILDS = 40;
/** As the phone sends them. */
const BATCH_SIZE = 100;
/** As the phone makes them smaller. */
const PHOTO_PX = { width: 1_280, height: 853 };

interface Counted {
  requestCount: number;
  sentBytes: number;
}

interface FieldRecord {
  readonly id: string;
  readonly body: object;
}

/**
 * An outbox of weeks without a network: 1,000 records of 40 builds in batches, then 50 photos. The
 * baseline sends the same number of records of other builds one by one.
 */
export async function benchOutbox(season: Season): Promise<void> {
  const app = await buildApp({ db: season.db, limitsRates: false, shedsLoad: false });
  await app.listen({ port: 0, host: '127.0.0.1' });
  const url = `http://127.0.0.1:${(app.server.address() as AddressInfo).port}/v1`;
  const counted: Counted = { requestCount: 0, sentBytes: 0 };
  const send = async (path: string, key: string, type: string, body: string | Uint8Array) => {
    counted.requestCount += 1;
    counted.sentBytes += Buffer.byteLength(body);
    const answer = await fetch(url + path, {
      method: 'POST',
      headers: {
        authorization: `Bearer ${season.token}`,
        'content-type': type,
        'idempotency-key': key,
      },
      body: typeof body === 'string' ? body : new Blob([Uint8Array.from(body)]),
    });
    if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
    return answer.json();
  };
  const json = (path: string, key: string, body: object) =>
    send(path, key, 'application/json', JSON.stringify(body));
  try {
    const photo = await madePhoto();
    const batched = await outboxOf(season);
    const startedMs = performance.now();
    for (let from = 0; from < RECORDS; from += BATCH_SIZE) {
      const operations = batched.slice(from, from + BATCH_SIZE).map(operationOf);
      const { results } = (await json('/sync/batch', uuidv7(), { operations })) as SyncResults;
      const failed = results.find(({ outcome, body }) => outcome !== 'done' || isRefused(body));
      if (failed) throw new Error(`not taken: ${JSON.stringify(failed)}`);
    }
    const recordsMs = performance.now() - startedMs;
    const recordCounts = { ...counted };
    for (const { id } of batched.slice(0, PHOTOS)) {
      const query = `noun=stage-record&recordId=${id}`;
      await send(`/attachments?${query}`, uuidv7(), 'image/jpeg', photo);
    }
    const wholeMs = performance.now() - startedMs;
    const whole = { ...counted };

    const single = await outboxOf(season);
    const singleStartMs = performance.now();
    for (const { id, body } of single) await json('/stage-record-batches', id, { records: [body] });
    const singleMs = performance.now() - singleStartMs;

    const what = `${RECORDS} records of ${BUILDS} builds`;
    printBenchLine({
      name: 'outbox-records',
      value: recordsMs / 1_000,
      unit: 's',
      baseline: singleMs / 1_000,
      note: `${what} in ${recordCounts.requestCount} batches; baseline: one request a record, on loopback, where a request costs no wait`,
    });
    printBenchLine({
      name: 'outbox-records-requests',
      value: recordCounts.requestCount,
      unit: 'requests',
      baseline: RECORDS,
      note: `${recordCounts.sentBytes} bytes of bodies sent`,
    });
    printBenchLine({
      name: 'outbox-with-photos',
      value: wholeMs / 1_000,
      unit: 's',
      baseline: null,
      note: `${what} and ${PHOTOS} photos of ${PHOTO_PX.width} by ${PHOTO_PX.height}: ${whole.requestCount} requests, ${whole.sentBytes} bytes of bodies`,
    });
  } finally {
    await app.close();
  }
}

const isRefused = (body: unknown) =>
  (body as { outcomes?: { outcome: string }[] } | null)?.outcomes?.[0]?.outcome === 'refused';

const operationOf = ({ id, body }: FieldRecord) => ({
  key: id,
  method: 'POST',
  path: '/v1/stage-record-batches',
  body: { records: [body] },
});

/** Work of days on builds of a programme of their own. */
async function outboxOf(season: Season): Promise<FieldRecord[]> {
  const { programmeId } = await season.addProgramme(BUILDS);
  return season.db.withTenant(season.actor, async (tx) => {
    const crewId = uuidv7();
    await tx.sql(
      `insert into crew (organisation_id, id, programme_id, code, name, size) values ($1, $2, $3, $4, 'Crew', 4)`,
      [tx.organisationId, crewId, programmeId, `C-${programmeId.slice(0, 8)}`],
    );
    const builds = await tx.sql<{ id: string }>(
      'select id from build where organisation_id = $1 and programme_id = $2 order by code',
      [tx.organisationId, programmeId],
    );
    return Array.from({ length: RECORDS }, (_, made) => {
      const id = uuidv7();
      const body = {
        id,
        buildId: builds[made % builds.length]?.id,
        stageCode: 'stage-0',
        kind: 'work-recorded',
        observedOn: '2026-10-05',
        crewId,
        peopleCount: 4,
        personHours: '30.5',
        note: 'Wall boards fixed through, posts still in',
      };
      return { id, body };
    });
  });
}

/** A photo as the phone keeps it: noise, which nothing can make much smaller. */
const madePhoto = () =>
  sharp({
    create: {
      ...PHOTO_PX,
      channels: 3,
      background: '#8a7a60',
      noise: { type: 'gaussian', mean: 128, sigma: 12 },
    },
  })
    .jpeg({ quality: 75 })
    .toBuffer();
