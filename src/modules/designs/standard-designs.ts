import type { ApprovalState } from '../../../shared/contract/design-revision.ts';
import type { Programme } from '../../../shared/contract/programme.ts';
import type { Tx } from '../../db/database.ts';
import { invalidContent, ruleBroken } from '../../domain/errors.ts';

export interface StandardDesignSources {
  programme(tx: Tx, id: string): Promise<Programme>;
  approvals(tx: Tx, revisionIds: readonly string[]): Promise<ReadonlyMap<string, ApprovalState>>;
  replace(tx: Tx, programmeId: string, revisionIds: string[]): Promise<void>;
}

export interface StandardDesigns {
  replace(tx: Tx, programmeId: string, revisionIds: readonly string[]): Promise<Programme>;
}

/** The designs that a programme's sites may get: approved revisions only. */
export function createStandardDesigns(sources: StandardDesignSources): StandardDesigns {
  return {
    async replace(tx, programmeId, revisionIds) {
      await sources.programme(tx, programmeId);
      const approvals = await sources.approvals(tx, revisionIds);
      const faults = revisionIds.flatMap((id, index) => {
        const approval = approvals.get(id);
        if (approval === 'approved') return [];
        return [
          {
            pointer: `/designRevisionIds/${index}`,
            code: approval ? 'design.not-approved' : 'reference.unknown',
            message: approval ? `is ${approval}` : 'names a record that does not exist',
            rejectedValue: id,
          },
        ];
      });
      if (faults.some(({ code }) => code === 'reference.unknown')) throw invalidContent(faults);
      if (faults.length > 0) {
        throw ruleBroken(
          'design-not-approved',
          'Only revisions that an engineer has approved can be standard designs.',
          faults,
        );
      }
      const distinct = [...new Set(revisionIds)];
      await sources.replace(tx, programmeId, distinct);
      await tx.audit('replace-standard-designs', 'programme', programmeId, {
        designRevisionIds: distinct,
      });
      return sources.programme(tx, programmeId);
    },
  };
}
