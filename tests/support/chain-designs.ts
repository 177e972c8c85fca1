import { designDecision, designRevision } from '../../shared/contract/design-revision.ts';
import type { TankDesignInput } from '../../shared/design/tank-design-input.ts';
import { bambooBandMortarKind } from '../../src/modules/tank-kinds/use-cases.ts';
import type { ChainSeason } from './chain-season.ts';
import { tankInput } from './season.ts';

const SIZES = [
  { code: 'T-3000', input: tankInput(1.5, 1.7, 6) },
  { code: 'T-5100', input: tankInput(1.9, 1.8, 8) },
  { code: 'T-7900', input: tankInput(2.3, 1.9, 12) },
] as const;

/** Three standard tanks approved by another engineer than their author, one refused, one undecided. */
export async function approveDesigns({
  coordinator,
  author,
  engineer,
  made,
  programmeId,
}: ChainSeason) {
  const kind = await made.make('tank-kinds', bambooBandMortarKind());
  const revise = async (code: string, input: TankDesignInput) => {
    const design = await made.make('tank-designs', { code, name: code, tankKindId: kind.id });
    const path = `/tank-designs/${design.id}/revisions`;
    return author.post(designRevision, path, { input });
  };
  const decide = (who: typeof author, revisionId: string, decision: string) =>
    who.send(`/design-revisions/${revisionId}/decisions`, { decision, remarks: 'Invented.' });
  const choose = (designRevisionIds: readonly string[]) =>
    coordinator.put(`/programmes/${programmeId}/standard-designs`, { designRevisionIds });

  const standard = [];
  for (const { code, input } of SIZES) standard.push(await revise(code, input));
  const ids = standard.map(({ id }) => id);
  const ownApproval = await decide(author, ids[0] ?? '', 'approved');
  const coordinatorApproval = await decide(coordinator, ids[0] ?? '', 'approved');
  const earlyChoice = await choose(ids);
  const approvals = [];
  for (const id of ids) {
    approvals.push(designDecision.parse((await decide(engineer, id, 'approved')).body));
  }
  const refused = await revise('T-REFUSED', tankInput(1.9, 1.8, 9));
  await decide(engineer, refused.id, 'refused').expect(201);
  const undecided = await revise('T-UNDECIDED', tankInput(1.9, 1.8, 10));
  const lateChoice = await choose(ids);
  return {
    standard,
    approvals,
    refused,
    undecided,
    answers: { ownApproval, coordinatorApproval, earlyChoice, lateChoice },
  };
}

export type ChainDesigns = Awaited<ReturnType<typeof approveDesigns>>;
