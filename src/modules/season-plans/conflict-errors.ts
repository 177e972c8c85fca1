import type { ConflictingWish, WishConflict } from '../../../shared/scheduling/build-plan.ts';
import type { FieldError } from '../../domain/errors.ts';
import { isSupposed } from './assume.ts';
import type { SeasonToPlan } from './read-season.ts';

/** The wishes that cannot hold together, each set by its own entry, in codes that people know. */
export function conflictErrors(
  conflicts: readonly WishConflict[],
  read: Pick<SeasonToPlan, 'builds' | 'crews'>,
): FieldError[] {
  const buildCode = (id: string) => read.builds.get(id)?.code ?? id;
  const crewCode = (id: string) => read.crews.find((crew) => crew.id === id)?.code ?? id;
  const wordsOf = (wish: ConflictingWish): string => {
    switch (wish.kind) {
      case 'pin':
        return isSupposed(wish.pinId)
          ? `a supposed pin of build ${buildCode(wish.buildId)}`
          : `pin ${wish.pinId} of build ${buildCode(wish.buildId)}`;
      case 'crew-until':
        return `the last day of crew ${crewCode(wish.crewId)}`;
      case 'no-crew-for-trade':
        return `stage ${wish.stageCode} of build ${buildCode(wish.buildId)}, whose trade no crew has`;
      case 'too-few-people':
        return `stage ${wish.stageCode} of build ${buildCode(wish.buildId)}, which needs more people than any crew has`;
      case 'too-little-equipment':
        return `stage ${wish.stageCode} of build ${buildCode(wish.buildId)}, which needs more equipment than there is`;
      case 'maximum-wait':
        return `the greatest wait before stage ${wish.stageCode} of build ${buildCode(wish.buildId)}`;
    }
  };
  return conflicts.map(({ wishes, isProved, detail }) => ({
    pointer: '',
    code: isProved ? 'wishes.conflict' : 'wishes.not-kept',
    message: `${wishes.map(wordsOf).join(' and ')}: ${detail}`,
    rejectedValue: wishes.flatMap((wish) => ('pinId' in wish ? [wish.pinId] : [])),
  }));
}
