import type { BuildBill } from '../../shared/contract/bill.ts';
import { type Build, build } from '../../shared/contract/build.ts';
import { correctiveAction, type Inspection, inspection } from '../../shared/contract/inspection.ts';
import { buildProgress, stageRecord } from '../../shared/contract/stage-record.ts';
import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import { stagesForTank } from '../../shared/scheduling/stage-template.ts';
import type { ChainDesigns } from './chain-designs.ts';
import type { ChainSeason } from './chain-season.ts';
import { goodJourney, type JourneyFact } from './stage-journey.ts';

const BEGUN_ON = '2027-02-01';

/** Facts of a tank on its design that goes well, from the first day on. */
export function journeyOf({ designRevisionId }: Build, { standard }: ChainDesigns) {
  const waterDepthM = standard.find(({ id }) => id === designRevisionId)?.input.waterDepthM ?? 0;
  return goodJourney(stagesForTank(BAMBOO_BAND_MORTAR_STAGES, { waterDepthM }), BEGUN_ON);
}

const releaserOf = new Map<string, string | null>(
  BAMBOO_BAND_MORTAR_STAGES.map(({ code, releasedBy }) => [code, releasedBy]),
);

/** Sends a fact as the person who may: the supervisor, or who releases that hold. */
export function sendFact(season: ChainSeason, buildId: string, fact: JourneyFact) {
  const { coordinator, engineer, inspector, supervisor } = season;
  const isRelease = fact.kind === 'hold-released';
  const releaser = isRelease ? releaserOf.get(fact.stageCode) : null;
  const people = new Map(Object.entries({ coordinator, engineer, inspector }));
  const person = people.get(releaser ?? '') ?? supervisor;
  return person.send(`/builds/${buildId}/stage-records`, fact);
}

export async function recordAll(
  season: ChainSeason,
  buildId: string,
  facts: readonly JourneyFact[],
) {
  for (const fact of facts) {
    stageRecord.parse((await sendFact(season, buildId, fact).expect(201)).body);
  }
}

/** One build from the slab to the handover, with what comes too early or fails on the way. */
export async function buildWithTrouble(
  season: ChainSeason,
  journey: readonly JourneyFact[],
  buildId: string,
) {
  const { supervisor, coordinator, inspector } = season;
  const progress = () => coordinator.get(buildProgress, `/builds/${buildId}/progress`);
  const send = (fact: JourneyFact) => sendFact(season, buildId, fact);
  const start = (stageCode: string, observedOn: string) =>
    send({ stageCode, kind: 'started', observedOn });
  const until = (code: string) => journey.findIndex(({ stageCode }) => stageCode === code);

  const skipped = await start('roof-grid', BEGUN_ON);
  const frameAt = until('frame');
  const boardsAt = until('wall-boards');
  await recordAll(season, buildId, journey.slice(0, frameAt));
  const tooSoon = await start('frame', journey[frameAt - 1]?.observedOn ?? '');
  const frame = journey.slice(frameAt, boardsAt);
  const release = frame.at(-1) as JourneyFact;
  const level = frame.find(({ checkCode }) => checkCode === 'band-out-of-level') as JourneyFact;
  await recordAll(season, buildId, frame.slice(0, -1));
  await recordAll(season, buildId, [{ ...level, measuredValue: 25 }]);
  const failing = await progress();
  const releasePath = `/builds/${buildId}/stage-records`;
  const answers = {
    skipped,
    tooSoon,
    byWrongRole: await supervisor.send(releasePath, release),
    releaseOfFailed: await send(release),
    startAfterFailed: await start('wall-boards', journey[boardsAt]?.observedOn ?? ''),
    early: await inspector.send(`/builds/${buildId}/inspections`, {
      kind: 'after-building',
      inspectedOn: release.observedOn,
      condition: 'functional',
    }),
  };
  await recordAll(season, buildId, [level, release]);
  const half = await progress();
  await recordAll(season, buildId, journey.slice(boardsAt));
  return {
    answers,
    failing,
    half,
    done: await progress(),
    build: await coordinator.get(build, `/builds/${buildId}`),
    handedOverOn: journey.at(-1)?.observedOn,
  };
}

/** A visit after building that finds a danger and a trifle; the action on the danger is closed. */
export async function visit({ inspector, supervisor, programmeId }: ChainSeason, buildId: string) {
  const visited: Inspection = await inspector.post(inspection, `/builds/${buildId}/inspections`, {
    kind: 'after-building',
    inspectedOn: '2027-05-12',
    condition: 'needs-repair',
    waterDepthM: 0.9,
    sanitaryAnswers: { 'roof-dirty': false, 'tap-faulty': true },
    findings: [
      {
        part: 'wall',
        severity: 'danger',
        description: 'A crack along the lowest band weeps.',
        measuredValue: 0.2,
        measuredUnit: 'mm',
        actions: [{ description: 'Draw down; the engineer comes.', dueOn: '2027-05-13' }],
      },
      {
        part: 'tap',
        severity: 'minor',
        description: 'The tap drips.',
        actions: [{ description: 'Change the washer.', dueOn: '2027-06-15' }],
      },
    ],
  });
  const withoutAction = await inspector.send(`/builds/${buildId}/inspections`, {
    kind: 'event',
    inspectedOn: '2027-05-12',
    condition: 'needs-repair',
    findings: [{ part: 'wall', severity: 'danger', description: 'It bulges.' }],
  });
  const open = () =>
    supervisor.list(correctiveAction, `/corrective-actions?programmeId=${programmeId}&isOpen=true`);
  const openBefore = await open();
  const urgent = await supervisor.list(
    correctiveAction,
    `/corrective-actions?programmeId=${programmeId}&dueBy=2027-05-31`,
  );
  const closed = await supervisor.post(
    correctiveAction,
    `/corrective-actions/${urgent[0]?.id}/closures`,
    { closedOn: '2027-05-14', closingNote: 'Lowest band tightened, crack closed.' },
  );
  return { visited, withoutAction, openBefore, urgent, closed, openAfter: await open() };
}

/** Share of the bill's amount in these stages, in percent, from the lines alone. */
export function percentByCost({ lines }: BuildBill, stageCodes: ReadonlySet<string>): number {
  const cents = (counts: (stageCode: string) => boolean) =>
    lines
      .filter(({ stageCode }) => counts(stageCode))
      .reduce((sum, { amount }) => sum + Math.round(Number(amount.amount) * 100), 0);
  return (100 * cents((code) => stageCodes.has(code))) / cents(() => true);
}
