import { createHash, randomUUID } from 'node:crypto';
import { crc32, deflateSync } from 'node:zlib';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ATTACHMENT_NOUNS, attachment } from '../../shared/contract/attachment.ts';
import { recordsOf } from '../support/made-records.ts';
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

const TODAY = '2026-12-01';
const CANARY = 'CANARY-owner-of-the-phone';

let service: TestService;
let coordinator: TestPerson;
let siteId: string;

beforeAll(async () => {
  const clock = { now: () => new Date(`${TODAY}T08:00:00Z`), today: () => TODAY };
  service = await startTestService({ clock });
  coordinator = await service.person(['coordinator']);
  const records = recordsOf(service, coordinator);
  const site = await records.make('sites', {
    programmeId: (await records.programme()).id,
    villageId: (await records.village()).id,
    code: 'H-1',
    kind: 'household',
    roofAreaM2: 40,
    roofKind: 'tile',
    peopleServed: 6,
  });
  siteId = site.id;
});
afterAll(() => service.close());

const post = (
  bytes: Buffer,
  type: string,
  query: Record<string, string> = {},
  person = coordinator,
) =>
  service.http
    .post('/v1/attachments')
    .query({ noun: 'site', recordId: siteId, ...query })
    .set(person.auth)
    .type(type)
    .send(bytes);

const get = (path: string, person = coordinator) =>
  service.http.get(`/v1/attachments${path}`).set(person.auth);

const contentOf = async (id: string) => {
  const answer = await get(`/${id}/content`).buffer(true).expect(200);
  return { bytes: answer.body as Buffer, headers: answer.headers };
};

/** Left half red, right half blue, with everything in it that a phone writes. */
async function phonePicture(format: 'jpeg' | 'png' | 'webp', orientation = 6): Promise<Buffer> {
  const blue = await sharp({ create: { width: 30, height: 40, channels: 3, background: 'blue' } })
    .png()
    .toBuffer();
  return sharp({ create: { width: 60, height: 40, channels: 3, background: 'red' } })
    .composite([{ input: blue, left: 30, top: 0 }])
    .withMetadata({ orientation })
    .withIccProfile('p3')
    .withExifMerge({
      IFD0: { Copyright: CANARY, Make: 'Invented phone' },
      IFD3: {
        GPSLatitudeRef: 'S',
        GPSLatitude: '1/1 17/1 0/1',
        GPSLongitudeRef: 'E',
        GPSLongitude: '36/1 49/1 0/1',
      },
    })
    .withXmp(`<x:xmpmeta xmlns:x="adobe:ns:meta/"><note>${CANARY}</note></x:xmpmeta>`)
    .toFormat(format)
    .toBuffer();
}

/** Markers of a JPEG before its picture data (ITU-T T.81 B.1.1.3). */
function jpegMarkers(bytes: Buffer): string[] {
  const markers: string[] = [];
  for (let at = 2; bytes[at] === 0xff && bytes[at + 1] !== 0xda; ) {
    markers.push((bytes[at + 1] ?? 0).toString(16));
    at += 2 + bytes.readUInt16BE(at + 2);
  }
  return markers;
}

/** Names of the chunks of a PNG (ISO/IEC 15948, 5.3). */
function pngChunks(bytes: Buffer): string[] {
  const names: string[] = [];
  for (let at = 8; at < bytes.length; at += 12 + bytes.readUInt32BE(at)) {
    names.push(bytes.toString('latin1', at + 4, at + 8));
  }
  return names;
}

/** Names of the chunks of a WebP file (RFC 9649, 2.3). */
function webpChunks(bytes: Buffer): string[] {
  const names: string[] = [];
  for (let at = 12; at < bytes.length; ) {
    const size = bytes.readUInt32LE(at + 4);
    names.push(bytes.toString('latin1', at, at + 4));
    at += 8 + size + (size % 2);
  }
  return names;
}

/** A one-bit grey PNG of a size, made by hand so that it costs nothing. */
function blankPng(width: number, height: number, isWhole = true): Buffer {
  const chunk = (name: string, data: Buffer) => {
    const head = Buffer.alloc(4);
    head.writeUInt32BE(data.length);
    const body = Buffer.concat([Buffer.from(name), data]);
    const sum = Buffer.alloc(4);
    sum.writeUInt32BE(crc32(body));
    return Buffer.concat([head, body, sum]);
  };
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header[8] = 1;
  const raw = Buffer.alloc(isWhole ? height * (1 + Math.ceil(width / 8)) : 10);
  return Buffer.concat([
    Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'),
    chunk('IHDR', header),
    chunk('IDAT', deflateSync(raw)),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

describe('pictures of records', () => {
  it('are stored upright, without place, phone, profile or any other hidden data', async () => {
    const hidden = {
      jpeg: { list: jpegMarkers, before: ['e1', 'e2'], after: /^e[1-9a-f]$|^fe$/ },
      png: {
        list: pngChunks,
        before: ['eXIf', 'iCCP'],
        after: /^(eXIf|iCCP|[iz]?tEXt|zTXt|tIME)$/i,
      },
      webp: { list: webpChunks, before: ['EXIF', 'ICCP', 'XMP '], after: /^(EXIF|ICCP|XMP )$/ },
    } as const;
    for (const format of ['jpeg', 'png', 'webp'] as const) {
      const { list, before, after } = hidden[format];
      const original = await phonePicture(format);
      const metadata = await sharp(original).metadata();
      // Tag 0x8825 points at the GPS directory (Exif 2.32, 4.6.3).
      expect(metadata.exif?.includes(Buffer.from([0x25, 0x88])), format).toBe(true);
      expect(original.includes(CANARY)).toBe(true);
      expect(list(original)).toEqual(expect.arrayContaining([...before]));

      const made = await post(original, `image/${format}`, {
        fileName: 'roof',
        caption: 'The roof',
        takenOn: '2026-11-30',
      });
      expect(made.status, made.text).toBe(201);
      const { bytes, headers } = await contentOf(made.body.id);
      expect(list(bytes).filter((name) => after.test(name))).toEqual([]);
      expect(bytes.includes(CANARY)).toBe(false);
      const stored = await sharp(bytes).metadata();
      expect(stored).toMatchObject({ format, width: 40, height: 60 });
      expect([stored.exif, stored.xmp, stored.icc, stored.orientation]).toEqual(
        Array(4).fill(undefined),
      );
      // Orientation 6: what was left is on top.
      const { data, info } = await sharp(bytes).raw().toBuffer({ resolveWithObject: true });
      const pixel = (x: number, y: number) => [
        ...data.subarray((y * info.width + x) * info.channels).subarray(0, 3),
      ];
      const [top, bottom] = [pixel(20, 8), pixel(20, 52)];
      expect(top[0]).toBeGreaterThan(200);
      expect(top[2]).toBeLessThan(80);
      expect(bottom[2]).toBeGreaterThan(200);
      expect(bottom[0]).toBeLessThan(80);
      expect(attachment.parse(made.body)).toMatchObject({
        noun: 'site',
        recordId: siteId,
        mediaType: `image/${format}`,
        fileName: `roof.${format === 'jpeg' ? 'jpg' : format}`,
        caption: 'The roof',
        takenOn: '2026-11-30',
        byteCount: bytes.length,
        sha256: createHash('sha256').update(bytes).digest('hex'),
        uploadedById: coordinator.personId,
      });
      expect(headers).toMatchObject({
        'content-type': `image/${format}`,
        'x-content-type-options': 'nosniff',
        'content-security-policy': "default-src 'none'; sandbox",
        'cache-control': 'no-store',
      });
      expect(headers['content-disposition']).toMatch(/^attachment; /);
    }
  });

  it('lose what is hidden behind the picture', async () => {
    const picture = await phonePicture('jpeg', 1);
    const polyglot = Buffer.concat([picture, Buffer.from('PK\x03\x04<script>alert(1)</script>')]);
    const made = await post(polyglot, 'image/jpeg').expect(201);
    const { bytes } = await contentOf(made.body.id);
    expect(bytes.includes('<script>')).toBe(false);
    expect(bytes.includes('PK\x03\x04')).toBe(false);
  });

  it('are at most 2,560 pixels long and keep small ones as they are', async () => {
    // 49,999,041 pixels: just inside the limit.
    const made = await post(blankPng(7_071, 7_071), 'image/png');
    expect(made.status, made.text).toBe(201);
    const { bytes } = await contentOf(made.body.id);
    expect(await sharp(bytes).metadata()).toMatchObject({ width: 2_560, height: 2_560 });
    const long = await post(blankPng(5_120, 512), 'image/png').expect(201);
    const stored = await sharp((await contentOf(long.body.id)).bytes).metadata();
    expect(stored).toMatchObject({ width: 2_560, height: 256 });
  });

  it('are refused with too many pixels, whatever their file size', async () => {
    for (const [width, height] of [
      [7_072, 7_071],
      [30_000, 30_000],
      [100_000, 100_000],
    ] as const) {
      const flood = blankPng(width, height, false);
      expect(flood.length).toBeLessThan(1_000);
      const problem = expectProblem(await post(flood, 'image/png'), 413, 'too-large');
      expect(problem.detail).toContain('50000000');
    }
    const heavy = await post(Buffer.alloc(10 * 1024 * 1024 + 1, 0xff), 'image/jpeg');
    expectProblem(heavy, 413, 'too-large');
  });

  it('are refused when they are something else', async () => {
    const svg = Buffer.from(
      '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><script>alert(1)</script></svg>',
    );
    const jpeg = await phonePicture('jpeg');
    const png = await phonePicture('png');
    const gif = Buffer.from('GIF89a\x01\x00\x01\x00\x00\x00\x00;', 'latin1');
    const wrong: [string, Buffer, string][] = [
      ['SVG as PNG', svg, 'image/png'],
      ['SVG as JPEG', svg, 'image/jpeg'],
      ['GIF as WebP', gif, 'image/webp'],
      ['PNG as JPEG', png, 'image/jpeg'],
      ['JPEG as PNG', jpeg, 'image/png'],
      ['HTML behind a JPEG marker', Buffer.from('\xff\xd8\xff<html>', 'latin1'), 'image/jpeg'],
      ['half a JPEG', jpeg.subarray(0, jpeg.length / 2), 'image/jpeg'],
      ['half a PNG', blankPng(400, 400, false), 'image/png'],
      ['a script', Buffer.from('#!/bin/sh\necho'), 'image/webp'],
      ['nothing', Buffer.alloc(0), 'image/png'],
    ];
    for (const [what, bytes, type] of wrong) {
      const answer = await post(bytes, type);
      expect(answer.status, `${what}: ${answer.text}`).toBe(422);
      expect(expectProblem(answer, 422, 'invalid-content').errors?.[0]?.code, what).toBe(
        'picture.unreadable',
      );
    }
    for (const type of ['image/svg+xml', 'text/csv', 'application/json']) {
      const answer = await post(type === 'application/json' ? Buffer.from('{}') : svg, type);
      expectProblem(answer, 415, 'unsupported-media-type');
    }
  });

  it('carry a harmless name, whatever name was sent', async () => {
    const picture = await phonePicture('png', 1);
    const names: [string, string][] = [
      ['../../etc/passwd', 'passwd.png'],
      ['C:\\Users\\x\\roof.PNG', 'roof.PNG'],
      ['roof\r\nset-cookie: a=b.png', 'roofset-cookie_ a=b.png'],
      ['photo\u202egnp.exe', 'photognp.exe.png'],
      ['a\u0007b.png', 'ab.png'],
      ['<img src=x onerror="alert(1)">.html', '_img src=x onerror=_alert(1)__.html.png'],
      ['...', 'picture.png'],
      ['é'.repeat(200), `${'é'.repeat(120)}.png`],
      ['дах.png', 'дах.png'],
      ["neighbour's (new) roof.png", "neighbour's (new) roof.png"],
    ];
    for (const [sent, kept] of names) {
      const made = await post(picture, 'image/png', { fileName: sent });
      expect(made.status, made.text).toBe(201);
      expect(made.body.fileName).toBe(kept);
      const { headers } = await contentOf(made.body.id);
      const disposition = headers['content-disposition'] as string;
      expect(disposition).toMatch(/^attachment; filename="[\w.-]*"; filename\*=UTF-8''[\w.%~!-]*$/);
      expect(decodeURIComponent(disposition.split("UTF-8''")[1] ?? '')).toBe(kept);
    }
    const zero = await post(picture, 'image/png', { fileName: 'a\u0000b.png' });
    expect(expectProblem(zero, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/fileName');
  });

  it('belong to a record that is there, and to a day that has been', async () => {
    const picture = await phonePicture('png', 1);
    for (const noun of ATTACHMENT_NOUNS) {
      const nowhere = await post(picture, 'image/png', { noun, recordId: randomUUID() });
      expectProblem(nowhere, 404, 'not-found');
    }
    const future = await post(picture, 'image/png', { takenOn: '2026-12-02' });
    expect(expectProblem(future, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/takenOn');
    const unknown = await post(picture, 'image/png', { noun: 'person' });
    expect(expectProblem(unknown, 422, 'invalid-content').errors?.[0]?.pointer).toBe('/noun');
  });

  it('are listed in order, once for an id, and only for their record', async () => {
    const records = recordsOf(service, coordinator);
    const other = await records.make('sites', {
      programmeId: (await records.programme()).id,
      villageId: (await records.village()).id,
      code: 'H-2',
      kind: 'school',
      roofAreaM2: 40,
      roofKind: 'tile',
      peopleServed: 6,
    });
    const picture = await phonePicture('png', 1);
    const id = randomUUID();
    await post(picture, 'image/png', { recordId: other.id, id }).expect(201);
    expectProblem(await post(picture, 'image/png', { recordId: other.id, id }), 409, 'conflict');
    const second = await post(picture, 'image/png', { recordId: other.id }).expect(201);
    const list = `?noun=site&recordId=${other.id}`;
    const first = await get(`${list}&limit=1`).expect(200);
    const rest = await get(`${list}&cursor=${encodeURIComponent(first.body.nextCursor)}`);
    expect([...first.body.items, ...rest.body.items].map((item) => item.id)).toEqual([
      id,
      second.body.id,
    ]);
    expectProblem(await get('?noun=site'), 422, 'invalid-content');
    const read = await get(`/${id}`).expect(200);
    expect(read.body).toEqual(first.body.items[0]);
  });

  it('are shown to those who may see the record, in its organisation', async () => {
    const made = await post(await phonePicture('png', 1), 'image/png').expect(201);
    const paths = [`/${made.body.id}`, `/${made.body.id}/content`];
    const list = `?noun=site&recordId=${siteId}`;
    const stranger = await service.person(['coordinator']);
    for (const path of [...paths, list]) {
      expectProblem(await get(path, stranger), 404, 'not-found');
    }
    const foreign = await post(await phonePicture('png', 1), 'image/png', {}, stranger);
    expectProblem(foreign, 404, 'not-found');
    for (const role of ['storekeeper', 'donor'] as const) {
      const person = await service.person([role], coordinator.organisationId);
      for (const path of [...paths, list]) {
        expectProblem(await get(path, person), 403, 'forbidden');
      }
    }
    const inspector = await service.person(['inspector'], coordinator.organisationId);
    await get(paths[1] ?? '', inspector).expect(200);
  });
});
