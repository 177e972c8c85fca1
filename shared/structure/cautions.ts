import type { SourceId } from '../sources.ts';

/** Parts of the work and of the life of a tank at which a caution belongs. */
export const CAUTION_STAGES = [
  'design',
  'site',
  'base',
  'wall',
  'bands',
  'mortar',
  'roof',
  'waterproofing',
  'curing',
  'first-filling',
  'use',
  'maintenance',
] as const;

export type CautionStage = (typeof CAUTION_STAGES)[number];

export interface Caution {
  readonly id: string;
  readonly stages: readonly CautionStage[];
  readonly text: string;
  readonly source: SourceId;
}

/** Printed with every result. */
export const STANDING_SENTENCE =
  'This tool checks arithmetic against published formulas. It does not know your ground, your workmanship or your local law.';

const ALL_CAUTIONS = [
  {
    id: 'local-code',
    stages: ['design', 'site'],
    text: 'Local codes, licensed engineers and the health authority decide. A permit exemption for small tanks is not an engineering exemption.',
    source: 'us-permit-exemption',
  },
  {
    id: 'bamboo-decay',
    stages: ['design', 'bands', 'wall', 'maintenance'],
    text: 'Bamboo hoops count for nothing in the long term: hoops cut out of tanks 1.5 to 6 years old had decayed and left the tanks liable to burst. Steel bands carry the whole water load. The date of build is safety data.',
    source: 'vadhanavikkit-pannachet-1987',
  },
  {
    id: 'burst',
    stages: ['design', 'first-filling', 'use'],
    text: 'A full tank can burst at or near the floor. Keep people, play areas and sleeping places at least one tank height plus 1 m away.',
    source: 'vadhanavikkit-pannachet-1987',
  },
  {
    id: 'bands-before-mortar',
    stages: ['bands'],
    text: 'Before mortar, check that every band is tight and every joint bolted, and photograph each joint. The lowest joint carries most and is seen least. Bare steel loses section: galvanise, paint or cover it.',
    source: 'iso-9223',
  },
  {
    id: 'springing-band',
    stages: ['bands', 'roof'],
    text: 'The dome pushes outward: one more band at the springing must hold it before any load comes on the roof.',
    source: 'garlock-domes',
  },
  {
    id: 'drowning',
    stages: ['wall', 'roof', 'curing', 'use'],
    text: 'Children drown in tanks. Fit a lockable cover, at most 600 x 600 mm and out of reach of any fixed ladder; leave no open tank in a pause of the work; guard half-built walls.',
    source: 'site-safety-practice',
  },
  {
    id: 'entry',
    stages: ['waterproofing', 'curing', 'maintenance'],
    text: 'A tank with one hatch is a confined space; people have died in tanks, some while trying to help. No engine inside or at the hatch; drain and dry; ventilate at least 30 minutes; oxygen between 19.5 and 23.5 %; a rope, and one person outside who never enters.',
    source: 'tank-entry-accidents',
  },
  {
    id: 'bitumen',
    stages: ['waterproofing'],
    text: 'Hot bitumen burns and its fumes harm. Kettle downwind and at least 14 °C below the flash point, extinguisher at hand, gloves and face shield, never inside a closed tank. Prefer a cold emulsion rated for drinking water; no coal tar.',
    source: 'cpwr-asphalt',
  },
  {
    id: 'bitumen-fume-limit',
    stages: ['waterproofing'],
    text: 'Bitumen fume: ceiling 5 mg/m³ over 15 minutes, and 0.5 mg/m³ as an 8-hour mean.',
    source: 'niosh-asphalt',
  },
  {
    id: 'cement',
    stages: ['base', 'wall', 'mortar', 'roof'],
    text: 'Wet mortar is strongly alkaline and burns skin and eyes, at first without pain. Waterproof gloves and boots, no kneeling in mortar, eye wash water on the site, wash at once.',
    source: 'hse-cis26',
  },
  {
    id: 'lime',
    stages: ['mortar', 'waterproofing'],
    text: 'Lime burns eyes, skin and lungs, and quicklime boils when it is wetted. Add lime to water, never water to lime; goggles, gloves and mask; children away; eye wash water at hand.',
    source: 'site-safety-practice',
  },
  {
    id: 'height',
    stages: ['wall', 'bands', 'roof', 'maintenance'],
    text: 'Work above 2 m needs an edge guard or a fixed platform; tie the ladder. Nobody stands on a fresh dome for 14 days.',
    source: 'site-safety-practice',
  },
  {
    id: 'roof-no-standing',
    stages: ['roof', 'use'],
    text: 'Mark the roof "no standing" unless the dome is checked for 1.5 kPa and a person of 1 kN and an engineer agrees.',
    source: 'is-875-2',
  },
  {
    id: 'lifting',
    stages: ['base', 'wall', 'roof'],
    text: 'Cement bags of 50 kg are carried by two people; nobody lifts more than 25 kg alone. Cast the dome in place.',
    source: 'site-safety-practice',
  },
  {
    id: 'first-filling',
    stages: ['first-filling'],
    text: 'No filling before 14 days of wet curing. Fill in three lifts with 24 hours after each, watched, never overnight. Draw down to one third and call the engineer if a crack over 0.1 mm weeps, a band slips or the wall bulges over 5 mm.',
    source: 'site-safety-practice',
  },
  {
    id: 'curing',
    stages: ['mortar', 'curing'],
    text: 'Keep mortar wet at least 7 days with ordinary cement, 10 or more with blended cement or in hot dry weather; the programme asks 14 days under sacking and sheet.',
    source: 'is-456',
  },
  {
    id: 'washout',
    stages: ['site', 'base', 'use'],
    text: 'Overflow water can wash out the slab edge: lead it at least 3 m away from the tank.',
    source: 'site-safety-practice',
  },
  {
    id: 'ground',
    stages: ['site', 'base'],
    text: 'Never found on topsoil, fill, peat, black cotton soil or a slope edge. Strip, compact, water and ram; a table of bearing values does not replace looking at the ground.',
    source: 'hasse-1989',
  },
  {
    id: 'water-quality',
    stages: ['first-filling', 'use'],
    text: 'Nothing here says that the water is fit to drink. The health authority decides; discard the first fillings of a new mortar tank.',
    source: 'site-safety-practice',
  },
  {
    id: 'yearly-inspection',
    stages: ['use', 'maintenance'],
    text: 'Inspect at day 7, month 1, month 6, then every year before the rains and after any earthquake, flood or vehicle impact: tap, map cracks, check bands, string line, damp rings, joint and settlement. From year 5 open one window on a bamboo hoop.',
    source: 'site-safety-practice',
  },
] as const satisfies readonly Caution[];

export type CautionId = (typeof ALL_CAUTIONS)[number]['id'];

/** Every caution, in the order in which a tank is made. */
export const CAUTIONS: readonly Caution[] = ALL_CAUTIONS;

/**
 * Cautions that belong to one stage of the work.
 *
 * @returns cautions in a fixed order; every stage has at least one
 * @source site-safety-practice
 */
export function cautionsForStage(stage: CautionStage): Caution[] {
  return CAUTIONS.filter((caution) => caution.stages.includes(stage));
}
