import type { DispatchGateState, GateInput } from '../../../shared/contract/contribution.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { notFound, ruleBroken } from '../../domain/errors.ts';
import { missingOf } from './repository.ts';

const KNOWN_SQL = `
  select exists (select from village where organisation_id = $1 and id = $2) as has_village,
    exists (select from programme where organisation_id = $1 and id = $3) as has_programme`;

// The lock comes first and alone, so that the question after it sees what others have committed.
const HOLD_SQL = `
  select id from village_contribution
  where organisation_id = $1 and village_id = $2 and programme_id = $3 and ended_on is null
    and gates_dispatch
  order by id for share`;

const INPUTS_SQL = `
  select c.id as "contributionId", c.material_id as "materialId", m.code as "materialCode",
    m.name as "materialName", c.unit_code as "unitCode", c.agreed_quantity as agreed, c.due_on as "dueOn",
    (select coalesce(sum(r.quantity), 0) from contribution_record r
      where r.organisation_id = $1 and r.contribution_id = c.id) as given,
    exists (select from contribution_waiver w
      where w.organisation_id = $1 and w.contribution_id = c.id) as is_waived
  from village_contribution c
    join material m on m.organisation_id = c.organisation_id and m.id = c.material_id
  where c.organisation_id = $1 and c.village_id = $2 and c.programme_id = $3 and c.ended_on is null
    and c.gates_dispatch
  order by m.code`;

type InputRow = Omit<GateInput, 'agreedQuantity' | 'givenQuantity' | 'missingQuantity'> & {
  readonly agreed: string;
  readonly given: string;
  readonly is_waived: boolean;
};

/** Whether materials may go to a village: what other slices get to ask. */
export interface ContributionGate {
  /** Refuses with `contributions-not-there` while agreed inputs are missing and nobody waived them. */
  requireOpen(tx: Tx, villageId: string, programmeId: string): Promise<void>;
}

export function createDispatchGate(): ContributionGate {
  return {
    async requireOpen(tx, villageId, programmeId) {
      await tx.sql(HOLD_SQL, [tx.organisationId, villageId, programmeId]);
      const { missing } = await inputsOf(tx, villageId, programmeId);
      if (missing.length === 0) return;
      const messages = missing.map(
        (input) =>
          `${input.materialCode}: ${input.givenQuantity} of ${input.agreedQuantity} ${input.unitCode} given, due on ${input.dueOn}`,
      );
      throw ruleBroken(
        'contributions-not-there',
        `The village has not given what it agreed to: ${messages.join('; ')}. Record it (contributions/{id}/records), or let a coordinator waive it (contributions/{id}/waivers).`,
        missing.map(({ contributionId, materialCode }, index) => ({
          pointer: '',
          code: 'contribution.missing',
          message: messages[index] ?? materialCode,
          rejectedValue: contributionId,
        })),
      );
    },
  };
}

/** The state of a village's gate in a programme. */
export async function gateState(
  tx: Tx,
  villageId: string,
  programmeId: string,
): Promise<DispatchGateState> {
  const values = [tx.organisationId, villageId, programmeId];
  const [known] = await tx.sql<{ has_village: boolean; has_programme: boolean }>(KNOWN_SQL, values);
  if (!known?.has_village) throw notFound('village', villageId);
  if (!known.has_programme) throw notFound('programme', programmeId);
  const { missing, waived } = await inputsOf(tx, villageId, programmeId);
  const state = missing.length === 0 ? 'open' : 'closed';
  return { villageId, programmeId, state, missing, waived };
}

async function inputsOf(tx: Tx, villageId: string, programmeId: string) {
  const values = [tx.organisationId, villageId, programmeId];
  const rows = await tx.sql<InputRow>(INPUTS_SQL, values);
  const lacking = rows
    .map(({ agreed, given, is_waived: isWaived, ...row }) => {
      const [agreedQuantity, givenQuantity] = [quantityText(agreed), quantityText(given)];
      const missingQuantity = missingOf(agreedQuantity, givenQuantity);
      return { isWaived, input: { ...row, agreedQuantity, givenQuantity, missingQuantity } };
    })
    .filter(({ input }) => input.missingQuantity !== '0');
  const those = (wanted: boolean): GateInput[] =>
    lacking.filter(({ isWaived }) => isWaived === wanted).map(({ input }) => input);
  return { missing: those(false), waived: those(true) };
}
