import type { Site } from '../../shared/contract/site.ts';
import type { SiteSizing } from '../../shared/contract/site-sizing.ts';
import { ROOF_KIND_FACTS } from '../../shared/hydrology/roof-kinds.ts';
import { RULES } from './chain-season.ts';

/**
 * Which tank a site should get, by a daily balance of the test's own: yield after spillage as
 * Jenkins and others (1978) print it, beginning with an empty tank. Only whether the ground carries a
 * tank is taken from the sizing.
 */
export function expectedChoice(
  site: Site,
  dailyRainMm: readonly number[],
  candidates: SiteSizing['candidates'],
): { designRevisionId: string | null; refusal: SiteSizing['refusal'] } {
  const demandL =
    site.demandLPerDay ??
    site.peopleServed * (site.litresPerPersonPerDay ?? RULES.litresPerPersonPerDay);
  const coefficient = site.runoffCoefficient ?? ROOF_KIND_FACTS[site.roofKind].runoffCoefficient;
  const litresPerMm = site.roofAreaM2 * coefficient * RULES.gutterEfficiencyRatio;
  const inflowL = dailyRainMm.map(
    (rainMm) => litresPerMm * Math.max(0, rainMm - RULES.firstFlushMm),
  );
  const wantedL = RULES.targetReliabilityRatio * demandL * inflowL.length;
  const none = (refusal: SiteSizing['refusal']) => ({ designRevisionId: null, refusal });
  if (inflowL.reduce((sum, litres) => sum + litres, 0) < wantedL) return none('roof-too-small');
  const enough = candidates.filter(
    ({ capacityL }) => yieldAfterSpillageL(inflowL, demandL, capacityL) >= wantedL,
  );
  if (enough.length === 0) return none('target-not-reachable');
  if (site.groundClass === null) return none('ground-unknown');
  const carried = enough.filter(({ suitsGround }) => suitsGround);
  const smallest = carried.sort((a, b) => a.capacityL - b.capacityL)[0];
  if (smallest === undefined) return none('ground-not-suitable');
  return { designRevisionId: smallest.designRevisionId, refusal: null };
}

function yieldAfterSpillageL(inflowL: readonly number[], demandL: number, capacityL: number) {
  let storedL = 0;
  let yieldL = 0;
  for (const litres of inflowL) {
    const drawnL = Math.min(demandL, storedL);
    storedL = Math.min(storedL + litres - drawnL, capacityL - drawnL);
    yieldL += drawnL;
  }
  return yieldL;
}
