import type { Build } from '../../../shared/contract/build.ts';
import type { BuildProgress } from '../../../shared/contract/stage-record.ts';
import { say } from './say.ts';

/** Why a build is on hold: what is not as it should be, else the hold that is open. */
export function heldReason(
  build: Build,
  progress: BuildProgress | undefined,
  stageTitleByCode: ReadonlyMap<string, string>,
): string {
  if (!progress) return say('reason-loading');
  const titleOf = (code: string) =>
    progress.stages.find(({ stageCode }) => stageCode === code)?.title ??
    stageTitleByCode.get(code) ??
    code;
  const fault = progress.nonConformities.findLast(({ state }) => state !== 'closed');
  if (fault) return `${titleOf(fault.stageCode)}: ${faultText(fault, progress)}`;
  const hold = progress.openHolds[0];
  if (hold) return say('hold-open', { stage: titleOf(hold) });
  const code = build.currentStageCode;
  return code ? say('stage-of', { stage: titleOf(code) }) : say('reason-unknown');
}

type Fault = BuildProgress['nonConformities'][number];

/** What was found, with the name of the check in place of its code where it has one. */
export function faultText(fault: Fault, progress: BuildProgress): string {
  const stage = progress.stages.find(({ stageCode }) => stageCode === fault.stageCode);
  const check = stage?.checks.find(({ code }) => code === fault.checkCode);
  return check ? fault.detail.replace(check.code, `“${check.title}”`) : fault.detail;
}
