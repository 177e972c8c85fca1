import { projectStages, type StageFact } from '../../shared/index.ts';
import type { StageStatus } from '../../shared/scheduling/stage-state.ts';
import { signedMicro } from './exact.ts';
import type { TestPerson, TestService } from './service.ts';
import { VALUED_STAGES, type ValuedSeason } from './valued-season.ts';

/** Cents, counted from the tables apart from the service's own sums. */
export interface Sums {
  bac: bigint;
  pv: bigint;
  ev: bigint;
  ac: bigint;
  inKindBac: bigint;
  inKindEv: bigint;
  contributed: bigint;
}

export const noSums = (): Sums => ({
  bac: 0n,
  pv: 0n,
  ev: 0n,
  ac: 0n,
  inKindBac: 0n,
  inKindEv: 0n,
  contributed: 0n,
});

export interface Recount {
  readonly total: Sums;
  /** Without goods of orders. */
  readonly byBuild: ReadonlyMap<string, Sums>;
  readonly byGrant: ReadonlyMap<string, Sums>;
  readonly withoutBuild: bigint;
  readonly accruedAndPaid: bigint;
}

const cents = (text: string) => signedMicro(text) / 10_000n;
const all = <Row>(service: TestService, person: TestPerson, table: string) =>
  service.as(person, (tx) =>
    tx.sql<Row>(`select * from ${table} where organisation_id = $1`, [person.organisationId]),
  );

const DAY_MS = 86_400_000;
const dayAfter = (day: string, count: number) =>
  new Date(Date.parse(day) + count * DAY_MS).toISOString().slice(0, 10);
const isSunday = (day: string) => new Date(day).getUTCDay() === 0;

/** The stages of one build laid from a day on, Sundays off, with the clock of the platform. */
export function laidFrom(startOn: string) {
  const ends = new Map<string, string>();
  return VALUED_STAGES.map(({ code, workDays, minimumWaitDays, after }) => {
    let day = startOn;
    for (const before of after) {
      const wait = VALUED_STAGES.find((one) => one.code === before)?.minimumWaitDays ?? 0;
      const free = dayAfter(ends.get(before) ?? '', wait + 1);
      if (free > day) day = free;
    }
    while (isSunday(day)) day = dayAfter(day, 1);
    const startsOn = day;
    for (let left = workDays - 1; left > 0; left -= 1) {
      do day = dayAfter(day, 1);
      while (isSunday(day));
    }
    ends.set(code, day);
    return { code, startsOn, finishesOn: day, minimumWaitDays };
  });
}

interface BillLine {
  build_id: string;
  stage_code: string;
  amount: string;
  is_in_kind: boolean;
}
interface BuildRow {
  id: string;
  programme_id: string;
  planned_start_on: string | null;
  started_on: string | null;
  cancelled_on: string | null;
}
interface Fact {
  id: string;
  build_id: string;
  stage_code: string;
  kind: string;
  observed_on: string;
  reason: string | null;
  decision: string | null;
  decides_record_id: string | null;
}
interface Cost {
  programme_id: string;
  build_id: string | null;
  grant_id: string | null;
  state: string;
  funding: string;
  currency: string;
  occurred_on: string;
  amount: string;
}

function factsOf(rows: readonly Fact[]): StageFact[] {
  return rows.map((row): StageFact => {
    const base = { factId: row.id, stageCode: row.stage_code, observedOn: row.observed_on };
    if (row.kind === 'hold-refused') return { ...base, kind: row.kind, reason: row.reason ?? '' };
    if (row.kind === 'nonconformity-decided') {
      return {
        ...base,
        kind: row.kind,
        decidesFactId: row.decides_record_id ?? '',
        decision: row.decision as 'rework' | 'reject',
        reason: row.reason ?? '',
        cause: null,
        dueOn: null,
      };
    }
    return { ...base, kind: row.kind as 'started' | 'finished' | 'hold-released' };
  });
}

/** Every sum of a made season at a day, from the rows of the tables alone. */
export async function recountSeason(
  service: TestService,
  { person, programmeId, stages }: ValuedSeason,
  dataOn: string,
  rule: '0-100' | 'by-length',
): Promise<Recount> {
  const builds = (await all<BuildRow>(service, person, 'build')).filter(
    (build) => build.programme_id === programmeId,
  );
  const lines = await all<BillLine>(service, person, 'bill_line');
  const facts = await all<Fact>(service, person, 'stage_record');
  const shares = await all<{ build_id: string; grant_id: string; share_ratio: string }>(
    service,
    person,
    'build_grant_share',
  );
  const costs = (await all<Cost>(service, person, 'cost_entry')).filter(
    (cost) =>
      cost.programme_id === programmeId &&
      cost.currency === 'EUR' &&
      cost.occurred_on <= dataOn &&
      cost.state !== 'committed',
  );
  const byBuild = new Map<string, Sums>(builds.map(({ id }) => [id, noSums()]));
  const byGrant = new Map<string, Sums>();
  for (const build of builds) {
    const sums = byBuild.get(build.id) ?? noSums();
    const planned = stages.filter(({ buildId }) => buildId === build.id);
    const startOn = build.planned_start_on ?? build.started_on;
    const isCancelled = build.cancelled_on !== null && build.cancelled_on <= dataOn;
    const isIn = stages.length > 0 ? planned.length > 0 : !isCancelled;
    const dates =
      stages.length > 0
        ? planned.map(({ stageCode, startsOn, finishesOn }) => ({
            code: stageCode,
            ...{ startsOn, finishesOn },
            minimumWaitDays:
              VALUED_STAGES.find(({ code }) => code === stageCode)?.minimumWaitDays ?? 0,
          }))
        : startOn === null
          ? []
          : laidFrom(startOn);
    const seen = facts.filter((fact) => fact.build_id === build.id && fact.observed_on <= dataOn);
    const statuses = new Map<string, StageStatus>(
      projectStages(VALUED_STAGES, factsOf(seen)).stages.map((one) => [one.stageCode, one.status]),
    );
    for (const { code } of isIn ? VALUED_STAGES : []) {
      const own = lines.filter((line) => line.build_id === build.id && line.stage_code === code);
      const date = dates.find((one) => one.code === code);
      for (const isInKind of [false, true]) {
        const amount = own
          .filter((line) => line.is_in_kind === isInKind)
          .reduce((sum, line) => sum + cents(line.amount), 0n);
        const lengthDays = date
          ? (Date.parse(date.finishesOn) - Date.parse(date.startsOn)) / DAY_MS +
            1 +
            date.minimumWaitDays
          : 0;
        const half = rule === 'by-length' && lengthDays >= 7 ? (amount + 1n) / 2n : 0n;
        const isPlanned = date !== undefined && date.finishesOn <= dataOn;
        const isBegunByPlan = date !== undefined && date.startsOn <= dataOn;
        const pv = isPlanned ? amount : isBegunByPlan ? half : 0n;
        const status = statuses.get(code);
        const isUnderWay = status === 'in-progress' || status === 'awaiting-release';
        const ev = status === 'accepted' ? amount : isUnderWay ? half : 0n;
        if (isInKind) {
          sums.inKindBac += amount;
          sums.inKindEv += ev;
        } else {
          sums.bac += amount;
          sums.pv += pv;
          sums.ev += ev;
        }
      }
    }
    splitOver(
      byGrant,
      sums,
      shares.filter(({ build_id }) => build_id === build.id),
    );
  }
  let withoutBuild = 0n;
  let accruedAndPaid = 0n;
  for (const cost of costs) {
    const amount = cents(cost.amount);
    const grant = grantOf(byGrant, cost.grant_id ?? '');
    const build = cost.build_id === null ? undefined : byBuild.get(cost.build_id);
    if (cost.funding === 'in-kind') {
      grant.contributed += amount;
      if (build) build.contributed += amount;
      continue;
    }
    accruedAndPaid += amount;
    grant.ac += amount;
    if (build) build.ac += amount;
    else withoutBuild += amount;
  }
  const total = noSums();
  for (const sums of byGrant.values()) {
    for (const key of Object.keys(total) as (keyof Sums)[]) total[key] += sums[key];
  }
  return { total, byBuild, byGrant, withoutBuild, accruedAndPaid };
}

function grantOf(byGrant: Map<string, Sums>, id: string): Sums {
  const found = byGrant.get(id) ?? noSums();
  byGrant.set(id, found);
  return found;
}

/** Largest remainder on whole hundred-millionths; what no share takes is under ''. */
function splitOver(
  byGrant: Map<string, Sums>,
  sums: Sums,
  shares: readonly { grant_id: string; share_ratio: string }[],
) {
  const ordered = shares.toSorted((a, b) => (a.grant_id < b.grant_id ? -1 : 1));
  const parts = ordered.map(({ grant_id, share_ratio }) => ({
    id: grant_id,
    weight: BigInt(Math.round(Number(share_ratio) * 1e8)),
  }));
  if (parts.length === 0) parts.push({ id: '', weight: 100_000_000n });
  for (const key of ['bac', 'pv', 'ev', 'inKindBac', 'inKindEv'] as const) {
    const exact = parts.map(({ id, weight }) => ({
      id,
      whole: (sums[key] * weight) / 100_000_000n,
      rest: (sums[key] * weight) % 100_000_000n,
    }));
    let left = sums[key] - exact.reduce((sum, { whole }) => sum + whole, 0n);
    const order = exact.map((_, index) => index);
    order.sort((a, b) => Number((exact[b]?.rest ?? 0n) - (exact[a]?.rest ?? 0n)) || a - b);
    for (const index of order) {
      const part = exact[index];
      if (!part) continue;
      const extra = left > 0n ? 1n : 0n;
      left -= extra;
      grantOf(byGrant, part.id)[key] += part.whole + extra;
    }
  }
}
