import { BAMBOO_BAND_MORTAR_STAGES } from '../../shared/scheduling/bamboo-band-mortar-stages.ts';
import {
  type Stage,
  type StageTemplate,
  stagesForTank,
} from '../../shared/scheduling/stage-template.ts';
import { addDays } from '../../shared/units/calendar.ts';
import { fewAtATime } from './demo-client.ts';
import type { Clients } from './demo-people.ts';
import type { Random } from './seeded-random.ts';

export interface PlannedBuild {
  readonly id: string;
  readonly code: string;
  readonly plannedStartOn: string;
  readonly waterDepthM: number;
}

interface FieldFact {
  readonly by: keyof Clients;
  readonly observedOn: string;
  readonly body: Record<string, unknown>;
}

/** What happens to a build on its way: most go well, a few wait or fail. */
type Fate = 'goes-well' | 'hold-waits' | 'check-fails';

/**
 * Stage records of all builds that have begun by today: each stage when the waits allow, with some
 * days lost between, up to today. Some frames wait for their release and some checks fail.
 */
export async function recordFieldSeason(
  clients: Clients,
  builds: readonly PlannedBuild[],
  random: Random,
  today: string,
): Promise<void> {
  const begun = builds.filter(({ plannedStartOn }) => plannedStartOn <= today);
  const journeys = begun.map((build, index) => {
    const fate: Fate =
      index % 11 === 7 ? 'hold-waits' : index % 13 === 9 ? 'check-fails' : 'goes-well';
    const template = stagesForTank(BAMBOO_BAND_MORTAR_STAGES, { waterDepthM: build.waterDepthM });
    return { build, facts: journeyOf(template, build.plannedStartOn, fate, random, today) };
  });
  await fewAtATime(journeys, 6, async ({ build, facts }) => {
    for (const { by, body } of facts)
      await clients[by].post(`/builds/${build.id}/stage-records`, body);
  });
}

function journeyOf(
  template: StageTemplate,
  startsOn: string,
  fate: Fate,
  random: Random,
  today: string,
): FieldFact[] {
  const facts: FieldFact[] = [];
  let day = addDays(startsOn, random.integer(0, 4));
  for (const stage of template) {
    const finishedOn = addDays(day, Math.ceil(stage.workDays) - 1 + (random.next() < 0.2 ? 1 : 0));
    const fails = fate === 'check-fails' && stage.code === 'roof-grid';
    facts.push(...stageFacts(stage, day, finishedOn, fails));
    if (fails) break;
    if (stage.holdPoint === 'hold' && stage.releasedBy !== null) {
      if (fate === 'hold-waits' && stage.code === 'frame') break;
      const releasedOn = addDays(finishedOn, random.integer(0, 2));
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

const fact = (by: keyof Clients, observedOn: string, body: object): FieldFact => ({
  by,
  observedOn,
  body: { ...body, observedOn },
});
