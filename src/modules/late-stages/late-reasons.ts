import type { LateReason } from '../../../shared/contract/late-stage.ts';
import type { StageProgress } from '../../../shared/scheduling/stage-progress.ts';
import { stagesBefore } from '../../../shared/scheduling/stage-state.ts';
import type { Stage } from '../../../shared/scheduling/stage-template.ts';
import { addDays } from '../../../shared/units/calendar.ts';
import {
  type BuildStanding,
  crewOf,
  isFinished,
  type LateSeason,
  progressOf,
  stageOf,
} from './late-season.ts';
import { shortMaterials } from './short-materials.ts';

/**
 * Why a stage is late, from the nearest reason down to the root: through earlier stages of the build
 * that are not finished and other builds that its crew still has in hand, to work that goes on, did not
 * pass, waits for a release or for its cure, or that nothing keeps from starting.
 */
export function lateReasons(
  season: LateSeason,
  standing: BuildStanding,
  stageCode: string,
): LateReason[] {
  const reasons: LateReason[] = [];
  const seen = new Set<string>();
  let at: Step | null = { standing, stageCode };
  while (at !== null) {
    const key = `${at.standing.build.id} ${at.stageCode}`;
    if (seen.has(key)) break;
    seen.add(key);
    const found: Found = reasonOf(season, at.standing, at.stageCode);
    reasons.push(found.reason);
    at = found.next;
  }
  return reasons;
}

interface Step {
  readonly standing: BuildStanding;
  readonly stageCode: string;
}

interface Found {
  readonly reason: LateReason;
  readonly next: Step | null;
}

function reasonOf(season: LateSeason, standing: BuildStanding, stageCode: string): Found {
  const stage = stageOf(standing, stageCode);
  const progress = progressOf(standing, stageCode);
  if (stage === undefined || progress === undefined) {
    return root(standing, stageCode, 'not-begun', 'is not in the stages of this kind of tank');
  }
  if (progress.status === 'nonconforming' || progress.status === 'in-rework') {
    return didNotPass(standing, stageCode);
  }
  if (progress.status !== 'not-started') {
    const detail = `has gone on since ${progress.startedOn}`;
    return root(standing, stageCode, 'work-goes-on', detail, { sinceOn: progress.startedOn });
  }
  return (
    inBuild(season, standing, stage) ??
    ofRains(season, standing, stage) ??
    ofCrew(season, standing, stageCode) ??
    ofMaterials(season, standing, stageCode) ??
    root(standing, stageCode, 'not-begun', 'has not begun, and nothing known keeps it from it')
  );
}

/** What stands before a stage in its own build: the direct stages first, the last planned of them. */
function inBuild(season: LateSeason, standing: BuildStanding, stage: Stage): Found | null {
  const before = stagesBefore(standing.template, stage.code);
  const direct = before.filter(({ code }) => stage.after.includes(code));
  const finishOf = ({ code }: Stage) => standing.planned.get(code)?.finishesOn ?? '';
  const inTurn = [
    ...direct.toSorted((a, b) => (finishOf(a) < finishOf(b) ? 1 : -1)),
    ...before.filter(({ code }) => !stage.after.includes(code)).toReversed(),
  ];
  for (const earlier of inTurn) {
    const progress = progressOf(standing, earlier.code);
    const found = progress && standsInTheWay(standing, earlier, progress);
    if (found) return found;
  }
  return ofWaits(season, standing, before);
}

function standsInTheWay(
  standing: BuildStanding,
  earlier: Stage,
  progress: StageProgress,
): Found | null {
  if (progress.status === 'accepted') return null;
  if (progress.status === 'awaiting-release') {
    const detail = `waits for its release by the ${earlier.releasedBy} since ${progress.finishedOn}`;
    return root(standing, earlier.code, 'hold-not-released', detail, {
      sinceOn: progress.finishedOn,
      releasedBy: earlier.releasedBy,
    });
  }
  if (
    !isFinished(progress) &&
    progress.status !== 'not-started' &&
    progress.status !== 'in-progress'
  ) {
    return didNotPass(standing, earlier.code);
  }
  const { reason } = root(standing, earlier.code, 'earlier-stage', 'is not finished', {
    sinceOn: progress.startedOn,
  });
  return { reason, next: { standing, stageCode: earlier.code } };
}

function ofWaits(
  { on }: LateSeason,
  standing: BuildStanding,
  before: readonly Stage[],
): Found | null {
  let longest: { stage: Stage; finishedOn: string; overOn: string } | null = null;
  for (const stage of before) {
    const finishedOn = progressOf(standing, stage.code)?.finishedOn ?? null;
    if (finishedOn === null) continue;
    const overOn = addDays(finishedOn, stage.minimumWaitDays);
    if (overOn > on && (longest === null || overOn > longest.overOn)) {
      longest = { stage, finishedOn, overOn };
    }
  }
  if (longest === null) return null;
  const { stage, finishedOn, overOn } = longest;
  const detail = `was finished on ${finishedOn}; its wait of ${stage.minimumWaitDays} days is over on ${overOn}`;
  return root(standing, stage.code, 'wait', detail, { sinceOn: finishedOn, untilOn: overOn });
}

function didNotPass(standing: BuildStanding, stageCode: string): Found {
  const entry = standing.projection.nonConformities.find((one) => one.stageCode === stageCode);
  const decided = entry?.decision ? `, ${entry.decision.decision} decided` : ', not decided';
  const detail = entry ? `did not pass: ${entry.detail}${decided}` : 'did not pass';
  return root(standing, stageCode, 'nonconformity', detail, {
    sinceOn: entry?.observedOn ?? null,
    recordId: entry?.recordId ?? null,
    untilOn: entry?.decision?.dueOn ?? null,
  });
}

function ofRains({ on, programme }: LateSeason, standing: BuildStanding, stage: Stage) {
  const { rainsFrom, rainsUntil } = programme;
  if (stage.isBlockedByRain !== true || rainsFrom === null || rainsUntil === null) return null;
  if (on < rainsFrom || on > rainsUntil) return null;
  const more = { sinceOn: rainsFrom, untilOn: addDays(rainsUntil, 1) };
  return root(
    standing,
    stage.code,
    'rains',
    `is not worked in the rains until ${rainsUntil}`,
    more,
  );
}

function ofCrew(season: LateSeason, standing: BuildStanding, stageCode: string): Found | null {
  const crewId = crewOf(standing, stageCode);
  const crew = crewId === null ? undefined : season.crews.get(crewId);
  if (crew === undefined) return null;
  const away = crew.absences.find(
    ({ fromOn, untilOn }) => fromOn <= season.on && season.on <= untilOn,
  );
  if (away !== undefined) {
    const more = { sinceOn: away.fromOn, untilOn: addDays(away.untilOn, 1) };
    return root(standing, stageCode, 'crew-away', `its crew ${crew.code} is away`, more);
  }
  const busy = stageElsewhere(season, standing, stageCode, crew.id);
  if (busy === null) return null;
  const { reason } = root(
    busy.standing,
    busy.stageCode,
    'crew-elsewhere',
    `still has crew ${crew.code} in ${busy.standing.build.villageName}`,
    { sinceOn: progressOf(busy.standing, busy.stageCode)?.startedOn ?? null },
  );
  return { reason, next: busy };
}

/** What its crew has in hand in another village, or at a build that was to be finished before. */
function stageElsewhere(
  { inHand }: LateSeason,
  standing: BuildStanding,
  stageCode: string,
  crewId: string,
): Step | null {
  const startsOn = standing.planned.get(stageCode)?.startsOn ?? '';
  const finishOf = (step: Step) => step.standing.planned.get(step.stageCode)?.finishesOn ?? '';
  const elsewhere = (inHand.get(crewId) ?? []).filter((step) => {
    const { build } = step.standing;
    if (build.id === standing.build.id) return false;
    return build.villageId !== standing.build.villageId || finishOf(step) < startsOn;
  });
  return elsewhere.toSorted((a, b) => (finishOf(a) < finishOf(b) ? -1 : 1))[0] ?? null;
}

function ofMaterials(season: LateSeason, standing: BuildStanding, stageCode: string): Found | null {
  const materials = shortMaterials(season.materials, standing, stageCode);
  if (materials.length === 0) return null;
  const codes = materials.map(({ materialCode }) => materialCode).join(', ');
  return root(standing, stageCode, 'materials-not-there', `lacks ${codes}`, { materials });
}

function root(
  standing: BuildStanding,
  stageCode: string,
  kind: LateReason['kind'],
  says: string,
  more: Partial<LateReason> = {},
): Found {
  const stageTitle = stageOf(standing, stageCode)?.title ?? stageCode;
  const { id: buildId, code: buildCode } = standing.build;
  return {
    next: null,
    reason: {
      kind,
      buildId,
      buildCode,
      stageCode,
      stageTitle,
      sinceOn: null,
      untilOn: null,
      releasedBy: null,
      recordId: null,
      materials: [],
      detail: `${stageTitle} of ${buildCode} ${says}`,
      ...more,
    },
  };
}
