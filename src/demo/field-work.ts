import type { BuildBill } from '../../shared/contract/bill.ts';
import type { Stage } from '../../shared/scheduling/stage-template.ts';
import { addDays } from '../../shared/units/calendar.ts';
import type { DemoClient } from './demo-client.ts';

/** Builds whose crews also write down what they used. */
const BUILDS_WITH_QUANTITIES = 6;
const HOURS_A_DAY = 7.5;
/** A little more is used than stands in place. */
const USE_RATIO = 1.04;

/** Materials by stage, with the quantity that the work of the stage used. */
export type UsedByStage = ReadonlyMap<
  string,
  readonly { readonly materialId: string; readonly quantity: string; readonly unitCode: string }[]
>;

/** What the first builds used, from their bills; nothing is written down of the others. */
export async function usedQuantities(
  client: DemoClient,
  buildIds: readonly string[],
): Promise<ReadonlyMap<string, UsedByStage>> {
  const used = new Map<string, UsedByStage>();
  for (const buildId of buildIds.slice(0, BUILDS_WITH_QUANTITIES)) {
    const { lines } = await client.get<BuildBill>(`/builds/${buildId}/bill`);
    const byStage = new Map<string, Map<string, { quantity: number; unitCode: string }>>();
    for (const { stageCode, materialId, unitCode, netQuantity, category } of lines) {
      if (category === 'labour') continue;
      const stage = byStage.get(stageCode) ?? new Map();
      const before = stage.get(materialId)?.quantity ?? 0;
      stage.set(materialId, { quantity: before + Number(netQuantity) * USE_RATIO, unitCode });
      byStage.set(stageCode, stage);
    }
    used.set(
      buildId,
      new Map(
        [...byStage].map(([stageCode, materials]) => [
          stageCode,
          [...materials]
            .filter(([, { quantity }]) => quantity >= 0.001)
            .map(([materialId, { quantity, unitCode }]) => ({
              materialId,
              quantity: quantity.toFixed(3),
              unitCode,
            })),
        ]),
      ),
    );
  }
  return used;
}

/** The work of a crew on a stage, day by day; what it used is written down on the last day. */
export function workRecords(
  stage: Stage,
  crewId: string,
  startedOn: string,
  finishedOn: string,
  used: UsedByStage | undefined,
): { readonly observedOn: string; readonly body: object }[] {
  const records = [];
  for (let day = startedOn; day <= finishedOn; day = addDays(day, 1)) {
    const quantities = day === finishedOn ? (used?.get(stage.code) ?? []) : [];
    const body = {
      stageCode: stage.code,
      kind: 'work-recorded',
      crewId,
      peopleCount: stage.crewSize,
      personHours: (stage.crewSize * HOURS_A_DAY).toFixed(2),
      ...(quantities.length > 0 ? { quantities } : {}),
    };
    records.push({ observedOn: day, body });
  }
  return records;
}
