import { createHash } from 'node:crypto';
import type { NewStageRecord } from '../../shared/contract/stage-record.ts';
import type { StageFact } from '../../shared/scheduling/stage-facts.ts';
import type { Stage, StageTemplate } from '../../shared/scheduling/stage-template.ts';
import { addDays } from '../../shared/units/calendar.ts';

/** What happens on a build in the week; the same fates come round over the builds. */
export const FATES = [
  'goes-well',
  'check-mended',
  'rework-done',
  'rework-under-way',
  'hold-refused-and-redone',
  'conceded',
  'rejected',
  'runs-ahead',
] as const;
export type Fate = (typeof FATES)[number];

type Role = 'supervisor' | 'inspector' | 'engineer' | 'coordinator';

export interface WeekRecord {
  readonly buildIndex: number;
  readonly by: Role;
  readonly record: NewStageRecord & { readonly id: string };
}

interface WeekPlaces {
  readonly buildCount: number;
  readonly mondayOn: string;
  readonly crewIds: readonly string[];
  readonly materialId: string;
}

/** An id that depends on its number alone and says nothing about time. */
const idOf = (number: number): string => {
  const hex = createHash('sha256').update(`week ${number}`).digest('hex');
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-4${hex.slice(13, 16)}-8${hex.slice(17, 20)}-${hex.slice(20, 32)}`;
};

/**
 * A week of crews from the slab to the wall boards, as their phones recorded it: the slab on Monday
 * and Tuesday, bamboo until Wednesday, the frame on Friday, the boards at the weekend.
 */
export function fieldWeek(template: StageTemplate, places: WeekPlaces): WeekRecord[] {
  const records: WeekRecord[] = [];
  const stage = (code: string): Stage => {
    const found = template.find((candidate) => candidate.code === code);
    if (found === undefined) throw new Error(`no stage ${code}`);
    return found;
  };
  for (let buildIndex = 0; buildIndex < places.buildCount; buildIndex += 1) {
    const fate = FATES[buildIndex % FATES.length] as Fate;
    const crewId = places.crewIds[buildIndex % places.crewIds.length] ?? '';
    const add = (by: Role, day: number, minute: number, record: object): string => {
      const observedOn = addDays(places.mondayOn, day);
      const id = idOf(records.length);
      const hour = String(8 + Math.floor(minute / 60)).padStart(2, '0');
      const deviceRecordedAt = `${observedOn}T${hour}:${String(minute % 60).padStart(2, '0')}:00.000Z`;
      const whole = { id, observedOn, note: '', deviceRecordedAt, ...record };
      records.push({ buildIndex, by, record: whole as WeekRecord['record'] });
      return id;
    };
    const say = (
      kind: 'started' | 'finished',
      stageCode: string,
      day: number,
      minute: number,
    ): string => add('supervisor', day, minute, { kind, stageCode });
    const work = (stageCode: string, day: number, peopleCount: number) =>
      add('supervisor', day, 480, {
        kind: 'work-recorded',
        stageCode,
        crewId,
        peopleCount,
        personHours: `${peopleCount * 7}.5`,
        quantities: [{ materialId: places.materialId, quantity: '12.5', unitCode: 'KGM' }],
      });
    const checks = (stageCode: string, day: number, minute: number, bad = 0): string[] =>
      stage(stageCode).checks.map((check, index) =>
        add('supervisor', day, minute + index, {
          kind: 'check-recorded',
          stageCode,
          checkCode: check.code,
          measuredValue:
            index < bad ? badValue(check) : (check.nominal ?? check.minimum ?? check.maximum ?? 1),
        }),
      );
    const verdict = (kind: 'hold-released' | 'hold-refused', day: number, minute: number) =>
      add('inspector', day, minute, {
        kind,
        stageCode: 'frame',
        ...(kind === 'hold-refused' ? { reason: 'A joint has a single bolt' } : {}),
      });
    const decide = (
      by: Role,
      decidesRecordId: string,
      decision: 'rework' | 'concession' | 'reject',
      day: number,
      minute: number,
    ) =>
      add(by, day, minute, {
        kind: 'nonconformity-decided',
        stageCode: 'frame',
        decidesRecordId,
        decision,
        reason: 'As found on site',
        cause: 'Bands drilled by eye',
        dueOn: addDays(places.mondayOn, day + 3),
      });

    say('started', 'ground-and-slab', 0, 0);
    say('started', 'bamboo-preparation', 0, 5);
    work('ground-and-slab', 0, 4);
    work('ground-and-slab', 1, 4);
    say('finished', 'ground-and-slab', 1, 400);
    checks('ground-and-slab', 1, 410);
    work('bamboo-preparation', 2, 3);
    say('finished', 'bamboo-preparation', 2, 400);
    checks('bamboo-preparation', 2, 410);
    say('started', 'frame', 4, 0);
    work('frame', 4, 4);
    say('finished', 'frame', 4, 200);
    const isBad = ['check-mended', 'rework-done', 'rework-under-way', 'conceded', 'rejected'];
    const [first = ''] = checks('frame', 4, 210, isBad.includes(fate) ? 1 : 0);
    // two phones in one minute: nothing but their ids says which reading is the last
    add('inspector', 4, 211, {
      kind: 'check-recorded',
      stageCode: 'frame',
      checkCode: 'frame-out-of-plumb',
      measuredValue: 6,
    });
    const redo = (minute: number) => {
      say('finished', 'frame', 5, minute);
      checks('frame', 5, minute + 10);
    };
    switch (fate) {
      case 'goes-well':
        verdict('hold-released', 4, 300);
        break;
      case 'check-mended':
        checks('frame', 4, 240);
        verdict('hold-released', 4, 300);
        break;
      case 'rework-done':
        decide('coordinator', first, 'rework', 4, 320);
        redo(60);
        verdict('hold-released', 5, 90);
        break;
      case 'rework-under-way':
        decide('inspector', first, 'rework', 4, 320);
        say('started', 'frame', 5, 10);
        break;
      case 'hold-refused-and-redone':
        decide('inspector', verdict('hold-refused', 4, 300), 'rework', 4, 310);
        redo(60);
        verdict('hold-released', 5, 90);
        break;
      case 'conceded':
        decide('engineer', first, 'concession', 4, 320);
        verdict('hold-released', 4, 330);
        break;
      case 'rejected':
        decide('engineer', first, 'reject', 4, 320);
        break;
      case 'runs-ahead':
        verdict('hold-released', 6, 300);
        break;
    }
    if (fate === 'rework-under-way' || fate === 'rejected') continue;
    say('started', 'wall-boards', 5, 120);
    work('wall-boards', 5, 4);
    work('wall-boards', 6, 4);
    say('finished', 'wall-boards', 6, 400);
    checks('wall-boards', 6, 410);
  }
  return records;
}

const badValue = ({ minimum, maximum }: Stage['checks'][number]): number =>
  minimum !== undefined ? minimum / 2 : (maximum ?? 1) * 2;

/** The record as the engine reads it. */
export function factOfWeek({ record }: WeekRecord): StageFact {
  const base = {
    factId: record.id,
    stageCode: record.stageCode,
    observedOn: record.observedOn,
    recordedAtMs: Date.parse(record.deviceRecordedAt ?? ''),
  };
  switch (record.kind) {
    case 'check-recorded':
      return {
        ...base,
        kind: record.kind,
        checkCode: record.checkCode ?? '',
        measuredValue: record.measuredValue ?? Number.NaN,
      };
    case 'hold-refused':
      return { ...base, kind: record.kind, reason: record.reason ?? '' };
    case 'work-recorded':
      return {
        ...base,
        kind: record.kind,
        crewId: record.crewId ?? '',
        peopleCount: record.peopleCount ?? 0,
        personHours: record.personHours ?? '',
        quantities: record.quantities ?? [],
      };
    case 'nonconformity-decided':
      return {
        ...base,
        kind: record.kind,
        decidesFactId: record.decidesRecordId ?? '',
        decision: record.decision ?? 'rework',
        reason: record.reason ?? '',
        cause: record.cause ?? null,
        dueOn: record.dueOn ?? null,
      };
    default:
      return { ...base, kind: record.kind };
  }
}

/** The same list in another order, with some of it twice, by a seeded draw. */
export function jumbled<Item>(items: readonly Item[], seed: number): Item[] {
  const random = seeded(seed);
  const list = [...items, ...items.filter(() => random() < 0.15)];
  for (let last = list.length - 1; last > 0; last -= 1) {
    const other = Math.floor(random() * (last + 1));
    [list[last], list[other]] = [list[other] as Item, list[last] as Item];
  }
  return list;
}

/** Numbers from 0 to below 1, the same ones for the same seed (mulberry32). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}
