import { createHash } from 'node:crypto';
import type {
  WorkSheet,
  WorkSheetDay,
  WorkSheetStage,
} from '../../../shared/contract/work-sheet.ts';
import { STANDING_SENTENCE } from '../../../shared/structure/cautions.ts';
import { isoWeekday } from '../../../shared/units/calendar.ts';
import { htmlText } from '../../http/html-text.ts';
import { limitsText } from './check-limits.ts';

const STYLE = `@page{size:A4;margin:14mm 12mm}
*{box-sizing:border-box}
body{font:10pt/1.35 system-ui,sans-serif;color:#111;background:#fff;margin:0 auto;max-width:186mm;padding:6mm 0}
h1{font-size:15pt;margin:0 0 1mm}h2{font-size:12pt;margin:5mm 0 1mm;border-bottom:.4mm solid #111;break-after:avoid}
h3{font-size:10.5pt;margin:3mm 0 1mm;break-after:avoid}h4{font-size:9.5pt;margin:2mm 0 .5mm;break-after:avoid}
p,ul{margin:0 0 1mm}ul{padding-left:5mm}
.boxes{list-style:none;padding-left:0}.boxes li::before{content:"\\2610\\00a0"}
table{border-collapse:collapse;width:100%;margin:1mm 0}
th,td{border:.2mm solid #555;padding:.8mm 1.2mm;text-align:left;vertical-align:top}
thead{display:table-header-group}tr{break-inside:avoid}
td.blank{min-width:28mm;width:28mm;height:8mm}td.number{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}
.hold{border:.5mm solid #111;padding:1mm 2mm;margin:1mm 0;font-weight:bold;break-inside:avoid}
.caution{border-left:1.2mm solid #111;padding-left:2mm;margin:.5mm 0;break-inside:avoid}
.signatures{display:grid;grid-template-columns:1fr 1fr;gap:8mm;margin-top:12mm;break-inside:avoid}
.signatures div{border-top:.2mm solid #111;padding-top:1mm}
@media print{body{max-width:none;padding:0}}`;

/** Of the one style sheet of the page, for its content security policy. */
export const SHEET_STYLE_HASH = `sha256-${createHash('sha256').update(STYLE).digest('base64')}`;

const WEEKDAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'];

const NOTES: Readonly<Record<NonNullable<WorkSheetDay['note']>, string>> = {
  'crew-away': 'The crew is away.',
  'no-work-day': 'No work day.',
};

const STATES: Readonly<Record<WorkSheetDay['work'][number]['status'], string>> = {
  'not-started': '',
  'in-progress': 'begun',
  'awaiting-release': 'finished, waits for its release',
  nonconforming: 'did not pass',
  'in-rework': 'in rework',
  accepted: 'done',
};

const cells = (texts: readonly string[]) => texts.map((text) => `<td>${htmlText(text)}</td>`);

const table = (titles: readonly string[], rows: readonly string[]) =>
  `<table><thead><tr>${titles.map((title) => `<th scope="col">${htmlText(title)}</th>`).join('')}</tr></thead><tbody>${rows.map((row) => `<tr>${row}</tr>`).join('')}</tbody></table>`;

function checkTable({ checks }: WorkSheetStage): string {
  if (checks.length === 0) return '';
  const rows = checks.map((check) => {
    const blank = check.unit === 'yes-no' ? '\u2610 yes \u2610 no' : '';
    const texts = cells([check.title, limitsText(check)]).join('');
    return `${texts}<td class="blank">${blank}</td><td class="blank"></td>`;
  });
  return `<h4>Checks</h4>${table(['Check', 'Limit', 'Found', 'Day, who'], rows)}`;
}

function materialTable({ materials }: WorkSheetStage): string {
  if (materials.length === 0) return '';
  const rows = materials.map(({ materialCode, materialName, quantity, unitCode, isInKind }) => {
    const from = isInKind ? 'village' : 'store';
    const [code, name, ...rest] = cells([materialCode, materialName, from]);
    return `${code}${name}<td class="number">${htmlText(`${shortQuantity(quantity)} ${unitCode}`)}</td>${rest.join('')}<td class="blank"></td>`;
  });
  return `<h4>Materials of the bill, with waste</h4>${table(['Code', 'Material', 'Quantity', 'From', 'Used'], rows)}`;
}

/** Decimal text without the zeros that mean nothing. */
const shortQuantity = (decimal: string) =>
  decimal.includes('.') ? decimal.replace(/\.?0+$/, '') : decimal;

function holdText({ holdPoint, releasedBy }: WorkSheetStage): string {
  if (holdPoint === 'none') return '';
  const text =
    holdPoint === 'hold'
      ? `Hold point: nothing goes on before the ${releasedBy} releases it.`
      : `Witness point: tell the ${releasedBy}, who may attend.`;
  return `<p class="hold">${htmlText(text)} \u2610 released, day and name:</p>`;
}

const daysText = (days: number) => (days === 1 ? '1 calendar day' : `${days} calendar days`);

const instructions = (stage: WorkSheetStage): string =>
  [
    ...stage.cautions.map((caution) => `<p class="caution">${htmlText(caution)}</p>`),
    stage.needs.length > 0
      ? `<h4>Needs first</h4><ul class="boxes">${stage.needs.map((need) => `<li>${htmlText(need)}</li>`).join('')}</ul>`
      : '',
    materialTable(stage),
    checkTable(stage),
    holdText(stage),
    stage.minimumWaitDays > 0
      ? `<p>${htmlText(`Then it waits: ${daysText(stage.minimumWaitDays)} before work goes on.`)}</p>`
      : '',
  ].join('');

function dayPart(
  day: WorkSheetDay,
  stages: ReadonlyMap<string, WorkSheetStage>,
  shown: Map<string, string>,
): string {
  const title = `${WEEKDAYS[isoWeekday(day.on) - 1]} ${day.on}`;
  const travel = day.travel.map(
    ({ fromVillageName, toVillageName }) =>
      `<p>${htmlText(`On the way from ${fromVillageName} to ${toVillageName}.`)}</p>`,
  );
  const work = day.work.map((one) => {
    const key = `${one.buildId} ${one.stageCode}`;
    const stage = stages.get(key);
    const isDone = one.status === 'accepted';
    const earlier = isDone ? undefined : shown.get(key);
    if (earlier === undefined) shown.set(key, title);
    const state = STATES[one.status] === '' ? '' : ` (${STATES[one.status]})`;
    const heading = `${one.villageName}, ${one.buildCode}: ${one.stageTitle}${state}`;
    const dates = `Planned ${one.startsOn} to ${one.finishesOn}.`;
    const more = earlier === undefined ? '' : ` What belongs to it stands at ${earlier}.`;
    const details = earlier === undefined && stage && !isDone ? instructions(stage) : '';
    return `<section><h3>${htmlText(heading)}</h3><p>${htmlText(dates + more)}</p>${details}</section>`;
  });
  const nothing =
    travel.length + work.length > 0
      ? ''
      : `<p>${day.note === null ? 'Nothing is planned.' : NOTES[day.note]}</p>`;
  return `<h2>${title}</h2>${travel.join('')}${work.join('')}${nothing}`;
}

function waitPart({ waits }: WorkSheet): string {
  if (waits.length === 0) return '';
  const rows = waits.map((wait) =>
    cells([
      `${wait.villageName}, ${wait.buildCode}`,
      wait.stageTitle,
      wait.isPlanned ? `${wait.finishedOn}, planned` : wait.finishedOn,
      wait.overOn,
    ]).join(''),
  );
  return `<h2>Waits that run</h2>${table(['Build', 'After', 'Finished on', 'Goes on from'], rows)}`;
}

function nonconformityPart({ nonconformities }: WorkSheet): string {
  if (nonconformities.length === 0) return '';
  const rows = nonconformities.map((entry) =>
    cells([
      `${entry.villageName}, ${entry.buildCode}`,
      entry.stageTitle,
      `${entry.observedOn}: ${entry.detail}`,
      entry.decision ?? 'not decided',
      entry.dueOn ?? '',
    ]).join(''),
  );
  return `<h2>Work that did not pass</h2>${table(['Build', 'Stage', 'What', 'Decision', 'Due'], rows)}`;
}

/** A week of a crew on A4, to print and fill in: one page of HTML without script or anything from outside. */
export function workSheetPage(sheet: WorkSheet): string {
  const { crewCode, crewName, crewSize, weekStartsOn, weekEndsOn, plan } = sheet;
  const stages = new Map(
    sheet.stages.map((stage) => [`${stage.buildId} ${stage.stageCode}`, stage]),
  );
  const shown = new Map<string, string>();
  const title = `Work sheet ${crewCode}, ${weekStartsOn} to ${weekEndsOn}`;
  const source =
    plan === null
      ? 'No plan of the season is published.'
      : `Plan ${plan.code}, version ${plan.versionNumber}, published ${plan.publishedAt.slice(0, 10)}.`;
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>${htmlText(title)}</title>
<style>${STYLE}</style></head>
<body><main>
<h1>${htmlText(title)}</h1>
<p>${htmlText(`${crewName}, ${crewSize} people. ${sheet.programmeName}. ${source}`)}</p>
${sheet.days.map((day) => dayPart(day, stages, shown)).join('\n')}
${nonconformityPart(sheet)}
${waitPart(sheet)}
<p class="caution">${htmlText(STANDING_SENTENCE)} Local codes and licensed practice come first.</p>
<div class="signatures"><div>Filled in by</div><div>Seen by the supervisor, day</div></div>
</main></body></html>
`;
}
