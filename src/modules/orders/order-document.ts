import { createHash } from 'node:crypto';
import type { Order } from '../../../shared/contract/order.ts';
import { type Caution, STANDING_SENTENCE } from '../../../shared/structure/cautions.ts';
import { type PackCode, unitName } from '../../../shared/units/unit-codes.ts';
import { htmlText } from '../../http/html-text.ts';
import type { OrderParties } from './document-repository.ts';

const STYLE = `@page{size:A4;margin:16mm 14mm}
*{box-sizing:border-box}
body{font:10.5pt/1.4 system-ui,sans-serif;color:#111;margin:0 auto;max-width:182mm;padding:8mm 0}
h1{font-size:16pt;margin:0 0 1mm}h2{font-size:11pt;margin:6mm 0 1mm}
p{margin:0 0 1.5mm}
dl{display:grid;grid-template-columns:max-content 1fr;gap:0 4mm;margin:3mm 0}dt{color:#444}dd{margin:0}
table{border-collapse:collapse;width:100%;margin-top:2mm}
th,td{border:.2mm solid #777;padding:1mm 1.5mm;text-align:left;vertical-align:top}
td.number,th.number{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}
tfoot td{font-weight:bold}thead{display:table-header-group}tr{break-inside:avoid}
.mark{border:.4mm solid #111;display:inline-block;font-weight:bold;padding:1mm 3mm}
.caution{border-left:1.2mm solid #111;padding-left:3mm;break-inside:avoid}
.signatures{display:grid;grid-template-columns:1fr 1fr;gap:12mm 10mm;margin-top:14mm;break-inside:avoid}
.signatures div{border-top:.2mm solid #111;padding-top:1mm}
@media print{body{max-width:none;padding:0}}`;

/** Of the one style sheet of the page, for its content security policy. */
export const DOCUMENT_STYLE_HASH = `sha256-${createHash('sha256').update(STYLE).digest('base64')}`;

const TERMS = [
  'Deliver to the place named above, with a delivery note that bears the number of this order.',
  'Goods are counted when they come. What is damaged or missing is noted on the delivery note, signed by driver and receiver, and claimed.',
  'Only what was ordered and came in good condition is paid, at the prices of this order. More than was ordered is returned unless the order is amended.',
  'Send the invoice with the number of this order, each line as it stands here.',
  'Any change is agreed in writing before delivery.',
];

const cell = (text: string, isNumber = false) =>
  `<td${isNumber ? ' class="number"' : ''}>${htmlText(text)}</td>`;

const item = (term: string, text: string) =>
  text === '' ? '' : `<dt>${htmlText(term)}</dt><dd>${htmlText(text)}</dd>`;

function stateOf({ status, approval }: Order): string {
  if (status === 'cancelled') return 'CANCELLED - deliver nothing';
  if (status === 'closed') return 'CLOSED - deliver nothing more';
  if (approval !== 'approved') return 'NOT APPROVED - not an order yet';
  return status === 'draft' ? 'APPROVED, NOT PLACED' : '';
}

function lineTable({ lines, amount }: Order): string {
  const rows = lines.map((line, index) =>
    [
      '<tr>',
      cell(String(index + 1), true),
      cell(line.materialCode),
      cell(line.materialName),
      cell(String(line.packCount), true),
      cell(`${unitName(line.packCode as PackCode)} of ${line.packContent} ${line.unitCode}`),
      cell(`${line.orderedQuantity} ${line.unitCode}`, true),
      cell(line.pricePerPack, true),
      cell(line.amount.amount, true),
      '</tr>',
    ].join(''),
  );
  const head = [
    ['No.', true],
    ['Code', false],
    ['Material', false],
    ['Packs', true],
    ['Pack', false],
    ['Quantity', true],
    ['Price per pack', true],
    [`Amount, ${amount.currency}`, true],
  ] as const;
  const titles = head.map(
    ([title, isNumber]) =>
      `<th scope="col"${isNumber ? ' class="number"' : ''}>${htmlText(title)}</th>`,
  );
  return `<table><thead><tr>${titles.join('')}</tr></thead><tbody>${rows.join('')}</tbody>
<tfoot><tr><td colspan="7">Total</td>${cell(amount.amount, true)}</tr></tfoot></table>`;
}

function amendmentList({ amendments }: Order): string {
  if (amendments.length === 0) return '';
  const items = amendments.map(
    ({ amendmentNumber, amendedOn, reason, amountBefore, amountAfter }) =>
      `<p>${htmlText(`${amendmentNumber}, ${amendedOn}: ${reason} (${amountBefore.amount} before, ${amountAfter.amount} ${amountAfter.currency} after)`)}</p>`,
  );
  return `<h2>Amendments</h2>${items.join('')}`;
}

const cautionList = (cautions: readonly Caution[]) =>
  cautions.length === 0
    ? ''
    : `<h2>Cautions for those who load, carry and store</h2>${cautions
        .map(({ text }) => `<p class="caution">${htmlText(text)}</p>`)
        .join('')}<p>${htmlText(STANDING_SENTENCE)}</p>`;

/** An order on A4, to print, sign and send: one page of HTML without script or anything from outside. */
export function orderDocument(
  order: Order,
  parties: OrderParties,
  cautions: readonly Caution[],
): string {
  const state = stateOf(order);
  const place = [order.deliveryVillageName, parties.villageDistrict].filter((part) => part !== '');
  const signatures = [
    ['Ordered by', parties.requestedByName ?? ''],
    ['Approved by', order.approval === 'approved' ? (parties.approvedByName ?? '') : ''],
    ['For the supplier', ''],
    ['Place and date', ''],
  ] as const;
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Purchase order ${htmlText(order.code)}</title>
<style>${STYLE}</style></head>
<body><main>
<h1>Purchase order ${htmlText(order.code)}</h1>
<p>${htmlText(parties.organisationName)}</p>
${state === '' ? '' : `<p class="mark">${htmlText(state)}</p>`}
<dl>${item('Supplier', `${order.supplierName} (${order.supplierCode})`)}${item('Of', parties.supplierPlace)}${item('Deliver to', `${place.join(', ')} (${order.deliveryVillageCode})`)}${item('Needed by', order.neededBy ?? '')}${item('Placed on', order.placedOn ?? '')}${item('Prices of', order.pricedOn)}${item('Programme', parties.programmeName)}</dl>
${lineTable(order)}
${amendmentList(order)}
<h2>Terms</h2><ol>${TERMS.map((term) => `<li>${htmlText(term)}</li>`).join('')}</ol>
${cautionList(cautions)}
<div class="signatures">${signatures.map(([role, name]) => `<div>${htmlText(role)}${name === '' ? '' : `: ${htmlText(name)}`}</div>`).join('')}</div>
</main></body></html>
`;
}
