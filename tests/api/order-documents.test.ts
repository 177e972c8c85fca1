import { createHash } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import ExcelJS from 'exceljs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { systemClock } from '../../src/domain/clock.ts';
import { type Buyers, makeBuyers, ordersOf } from '../support/made-orders.ts';
import { expectProblem, startTestService, type TestService } from '../support/service.ts';

let service: TestService;
let people: Buyers;
let buy: ReturnType<typeof ordersOf>;

beforeAll(async () => {
  service = await startTestService({ clock: { ...systemClock, today: () => '2026-11-20' } });
  people = await makeBuyers(service);
  buy = ordersOf(service, people);
});
afterAll(() => service.close());

const HOSTILE = '<script>alert("x")</script> & \'lime\'';

const wanted = [
  {
    need: '100',
    packContent: '50',
    pricePerPack: '7.45',
    material: { name: 'Cement', unitCode: 'KGM' },
  },
  {
    need: '3',
    pricePerPack: '4.10',
    material: { name: HOSTILE, category: 'finish', unitCode: 'KGM' },
  },
];

async function workbookOf(path: string) {
  const asked = service.http.get(`/v1/${path}`).set(people.coordinator.auth);
  const { body } = await asked
    .buffer(true)
    .parse((answer, done) => {
      const chunks: Buffer[] = [];
      answer.on('data', (chunk: Buffer) => chunks.push(chunk));
      answer.on('end', () => done(null, Buffer.concat(chunks)));
    })
    .expect(200);
  const book = new ExcelJS.Workbook();
  await book.xlsx.load(body);
  const sheet = book.worksheets[0];
  if (!sheet) throw new Error('The workbook has no sheet');
  const rows = sheet.getSheetValues().slice(1) as unknown[][];
  const [header = [], ...lines] = rows.map((row) => row.slice(1));
  return lines.map((line) => Object.fromEntries(header.map((key, at) => [String(key), line[at]])));
}

describe('the page of an order', () => {
  it('is whole in itself, without script, and may use its own style only', async () => {
    const order = await buy.placed(wanted);
    const answer = await buy.get(`orders/${order.id}/document`).expect(200);
    expect(answer.headers['content-type']).toBe('text/html; charset=utf-8');
    expect(answer.headers['content-disposition']).toContain(
      `inline; filename="${order.code}.html"`,
    );
    const style = /<style>([\s\S]*?)<\/style>/.exec(answer.text)?.[1] ?? '';
    const hash = createHash('sha256').update(style).digest('base64');
    expect(answer.headers['content-security-policy']).toBe(
      `default-src 'none'; style-src 'sha256-${hash}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox allow-modals`,
    );
    expect(style).toContain('@page{size:A4');
    expect(answer.text).not.toMatch(/<script|<img|<link|\son\w+=|style="|https?:/);
  });

  it('names supplier, place, lines, packs, prices, approval and cautions, as text', async () => {
    const order = await buy.placed(wanted);
    const { text } = await buy.get(`orders/${order.id}/document`).expect(200);
    for (const part of [
      `Purchase order ${order.code}`,
      order.supplierCode,
      order.deliveryVillageCode,
      '<td class="number">7.45</td>',
      '<td class="number">14.90</td>',
      '<td class="number">27.20</td>',
      '&lt;script&gt;alert(&quot;x&quot;)&lt;/script&gt; &amp; &#39;lime&#39;',
      'Approved by: Test coordinator',
      'Wet mortar is strongly alkaline',
      'Lime burns eyes, skin and lungs',
    ]) {
      expect(text).toContain(part);
    }
    expect(text).not.toContain('class="mark"');
  });

  it('says what is no order yet, and leaves out cautions that nothing calls for', async () => {
    const steel = { name: 'Wire', category: 'steel' };
    const draft = await buy.draft([{ need: '5', pricePerPack: '1.00', material: steel }]);
    const { text } = await buy.get(`orders/${draft.id}/document`).expect(200);
    expect(text).toContain('NOT APPROVED');
    expect(text).not.toContain('Cautions');
    expect(text).not.toContain('Approved by:');
    const stranger = await service.person(['coordinator']);
    expectProblem(await buy.get(`orders/${draft.id}/document`, stranger), 404, 'not-found');
    expectProblem(await buy.get(`orders/${draft.id}/document.xlsx`, stranger), 404, 'not-found');
  });
});

describe('files of orders', () => {
  it('hold the same lines as CSV and workbook, text as text and numbers as numbers', async () => {
    const order = await buy.placed(wanted);
    const filter = `programmeId=${order.programmeId}`;
    const csv = await buy.get(`orders.csv?${filter}`).expect(200);
    const rows: Record<string, string>[] = parse(csv.text, { columns: true, bom: true });
    expect(rows).toHaveLength(2);
    const cement = rows.find(({ material }) => material === 'Cement');
    expect(cement).toMatchObject({
      order: order.code,
      status: 'placed',
      placed_on: '2026-11-03',
      expected_on: '2026-11-10',
      pack_count: '2',
      ordered_quantity: '100',
      received_quantity: '0',
      amount: '14.90',
    });
    const sheet = await workbookOf(`orders.xlsx?${filter}`);
    expect(sheet).toEqual(await workbookOf(`orders/${order.id}/document.xlsx`));
    const line = sheet.find(({ material }) => material === 'Cement');
    expect(line).toMatchObject({ pack_count: 2, ordered_quantity: 100, amount: 14.9 });
    const drafts = await buy.get(`orders.csv?${filter}&status=draft`).expect(200);
    expect(parse(drafts.text, { columns: true, bom: true })).toEqual([]);
    const stranger = await service.person(['coordinator']);
    const foreign = await buy.get(`orders.csv?${filter}`, stranger).expect(200);
    expect(parse(foreign.text, { columns: true, bom: true })).toEqual([]);
  });
});
