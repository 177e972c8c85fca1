import { v7 as uuidv7 } from 'uuid';
import type { StageRecordBatch } from '../../shared/contract/stage-record.ts';
import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import {
  type Stage,
  type StageTemplate,
  stagesForTank,
} from '../../shared/scheduling/stage-template.ts';
import { addDays } from '../../shared/units/calendar.ts';
import { fewAtATime } from './demo-client.ts';
import type { Clients } from './demo-people.ts';
import { type UsedByStage, usedQuantities, workRecords } from './field-work.ts';
import type { Random } from './seeded-random.ts';

export interface PlannedBuild {
  readonly id: string;
  readonly code: string;
  readonly plannedStartOn: string;
  /** Days of the published plan by stage. */
  readonly stageDates?: ReadonlyMap<string, { readonly startsOn: string }>;
  readonly waterDepthM: number;
  readonly crewId: string | null;
}

interface FieldFact {
  readonly by: keyof Clients;
  readonly observedOn: string;
  readonly body: Record<string, unknown> & { readonly id: string };
}

/** What is decided where a check fails, turn by turn; the last is left open. */
const DECISIONS = ['rework', 'concession', 'reject', null] as const;

/** What happens to a build on its way: most go well, a few wait or fail. */
type Fate =
  | { readonly kind: 'goes-well' | 'hold-waits' }
  | { readonly kind: 'check-fails'; readonly decision: (typeof DECISIONS)[number] };

function fateOf(index: number): Fate {
  if (index % 11 === 7) return { kind: 'hold-waits' };
  if (index % 9 !== 4) return { kind: 'goes-well' };
  const decision = DECISIONS[Math.floor(index / 9) % DECISIONS.length] ?? null;
  return { kind: 'check-fails', decision };
}

/**
 * Stage records of all builds that have begun by today: each stage when the waits allow, with some
 * days lost between, up to today. Some frames wait for their release and some checks fail.
 * They arrive as batches of the phones of those who recorded them.
 */
export async function recordFieldSeason(
  clients: Clients,
  builds: readonly PlannedBuild[],
  random: Random,
  today: string,
): Promise<void> {
  const begun = builds.filter(({ plannedStartOn }) => plannedStartOn <= today);
  const used = await usedQuantities(
    clients.supervisor,
    begun.map(({ id }) => id),
  );
  const journeys = begun.map((build, index) => {
    const template = stagesForTank(BAMBOO_BAND_MORTAR_STAGES, { waterDepthM: build.waterDepthM });
    return { build, facts: journeyOf(template, build, fateOf(index), random, today, used) };
  });
  await fewAtATime(journeys, 6, async ({ build, facts }) => {
    for (const by of new Set(facts.map((fact) => fact.by))) {
      const records = facts
        .filter((fact) => fact.by === by)
        .map(({ body }) => ({ ...body, buildId: build.id }));
      const batch = { records };
      const { outcomes } = await clients[by].post<StageRecordBatch>('/stage-record-batches', batch);
      const refused = outcomes.find(({ outcome }) => outcome !== 'recorded');
      if (refused) throw new Error(`${build.code}: ${refused.rule}, ${refused.detail}`);
    }
  });
}

function journeyOf(
  template: StageTemplate,
  { id, plannedStartOn, stageDates, crewId }: PlannedBuild,
  fate: Fate,
  random: Random,
  today: string,
  used: ReadonlyMap<string, UsedByStage>,
): FieldFact[] {
  const facts: FieldFact[] = [];
  let day = addDays(plannedStartOn, random.integer(0, 1));
  for (const stage of template) {
    const planned = stageDates?.get(stage.code)?.startsOn ?? day;
    if (planned > day) day = planned;
    const finishedOn = addDays(day, Math.ceil(stage.workDays) - 1 + (random.next() < 0.2 ? 1 : 0));
    const fails = fate.kind === 'check-fails' && stage.code === 'roof-grid';
    facts.push(...stageFacts(stage, day, finishedOn, fails));
    if (crewId !== null) {
      for (const { observedOn, body } of workRecords(stage, crewId, day, finishedOn, used.get(id)))
        facts.push(fact('supervisor', observedOn, body));
    }
    let passedOn = finishedOn;
    if (fails) {
      const decided = decisionFacts(stage, finishedOn, facts, fate.decision);
      facts.push(...decided.facts);
      if (decided.passedOn === null) break;
      passedOn = decided.passedOn;
    }
    if (stage.holdPoint === 'hold' && stage.releasedBy !== null) {
      if (fate.kind === 'hold-waits' && stage.code === 'frame') break;
      const releasedOn = addDays(passedOn, random.integer(0, 2));
      facts.push(
        fact(stage.releasedBy, releasedOn, { stageCode: stage.code, kind: 'hold-released' }),
      );
      day = releasedOn;
    } else {
      day = finishedOn;
    }
    day = addDays(
      day,
      Math.max(1, stage.minimumWaitDays) + (random.next() < 0.15 ? random.integer(1, 3) : 0),
    );
  }
  return facts.filter(({ observedOn }) => observedOn <= today);
}

/** What was decided about the failed check of a stage, with the rework that followed. */
function decisionFacts(
  stage: Stage,
  failedOn: string,
  facts: readonly FieldFact[],
  decision: (typeof DECISIONS)[number],
): { facts: FieldFact[]; passedOn: string | null } {
  const { code: stageCode, checks } = stage;
  const failed = facts.find(
    ({ body }) =>
      body.stageCode === stageCode &&
      body.kind === 'check-recorded' &&
      body.checkCode === checks[0]?.code,
  );
  if (decision === null || failed === undefined) return { facts: [], passedOn: null };
  const by = decision === 'concession' ? 'engineer' : 'inspector';
  const next = addDays(failedOn, 1);
  const decided = fact(by, next, {
    stageCode,
    kind: 'nonconformity-decided',
    decidesRecordId: failed.body.id,
    decision,
    reason: REASONS[decision],
    cause: 'Set out by eye (invented)',
    dueOn: addDays(failedOn, 5),
  });
  if (decision === 'reject') return { facts: [decided], passedOn: null };
  if (decision === 'concession') return { facts: [decided], passedOn: next };
  const again = addDays(failedOn, 2);
  const [, ...redone] = stageFacts(stage, next, again, false);
  return { facts: [decided, ...redone], passedOn: again };
}

const REASONS = {
  rework: 'The grid is taken down and tied anew (invented)',
  concession: 'The dome was checked again with the rise as built (invented)',
  reject: 'The grid must not be coated; the design is looked at again (invented)',
} as const;

function stageFacts(
  stage: Stage,
  startedOn: string,
  finishedOn: string,
  fails: boolean,
): FieldFact[] {
  const { code: stageCode, checks } = stage;
  return [
    fact('supervisor', startedOn, { stageCode, kind: 'started' }),
    fact('supervisor', finishedOn, { stageCode, kind: 'finished' }),
    ...checks.map((check, index) =>
      fact('supervisor', finishedOn, {
        stageCode,
        kind: 'check-recorded',
        checkCode: check.code,
        measuredValue: fails && index === 0 ? failingValue(check) : goodValue(check),
      }),
    ),
  ];
}

type Check = Stage['checks'][number];

function goodValue({ nominal, minimum, maximum, unit }: Check): number {
  if (nominal !== undefined) return nominal;
  if (minimum !== undefined && maximum !== undefined) return (minimum + maximum) / 2;
  if (minimum !== undefined) return minimum;
  if (maximum !== undefined) return maximum / 2;
  return unit === 'yes-no' ? 1 : 0;
}

const failingValue = ({ minimum, maximum }: Check): number =>
  minimum !== undefined ? minimum / 2 : (maximum ?? 1) * 2;

/** Ids of version 7 keep the facts of a day in the order in which they are told here. */
const fact = (by: keyof Clients, observedOn: string, body: object): FieldFact => ({
  by,
  observedOn,
  body: { ...body, id: uuidv7(), observedOn },
});
