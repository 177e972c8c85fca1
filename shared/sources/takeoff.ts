import type { Source } from '../sources.ts';

export const TAKEOFF_SOURCES = {
  'cpwd-dsr-2018': {
    title: 'Delhi Schedule of Rates, coefficients for cement consumption, items 3.2 to 3.6 and 4.1',
    publisher: 'Central Public Works Department, India',
    year: 2018,
    seen: 'quoted',
  },
  'cpwd-basic-analysis': {
    title: 'Analysis of Rates, basic items 2113 and 2114: sand 1.07 m³ per m³ of mortar',
    publisher: 'Central Public Works Department, India',
    year: null,
    seen: 'quoted',
  },
  'cpwd-recalled': {
    title:
      'Public-works coefficients recalled: sand of 1:2 mortar, aggregate of 1:2:4, cement of 1:3:6 and 1:4:8, 15 mm plaster',
    publisher: 'Central Public Works Department, India',
    year: null,
    seen: 'from-memory',
  },
  'cpwd-plaster-analysis': {
    title:
      'Analysis of Rates, plaster 12 mm with 20 % and 20 mm with 12 % for joints and unevenness',
    publisher: 'Central Public Works Department, India',
    year: null,
    seen: 'quoted',
  },
  'plaster-rate-analysis': {
    title: 'Rate analysis of 13 mm cement plaster per 10 m²: mortar and hours',
    publisher: 'unnamed works department, a public copy',
    year: null,
    seen: 'quoted',
  },
  'dry-volume-rule': {
    title: 'Dry volume factor 1.33 for mortar and 1.54 for concrete, cement at 1440 kg/m³ loose',
    publisher: 'estimating textbooks',
    year: null,
    seen: 'from-memory',
  },
  'plaster-out-turn': {
    title: 'Out-turn of a mason per day: 12 mm plaster 8 m²; painting large surfaces 25 to 35 m²',
    publisher: 'estimating handbook, a public copy',
    year: null,
    seen: 'quoted',
  },
  'is-7272': {
    title: 'IS 7272, labour output constants for building work',
    publisher: 'Bureau of Indian Standards',
    year: 1974,
    seen: 'quoted',
  },
  'wright-1936': {
    title: 'Factors affecting the cost of airplanes (the learning curve tₙ = t₁·n^log₂ r)',
    publisher: 'Journal of the Aeronautical Sciences 3',
    year: 1936,
    seen: 'from-memory',
  },
  'covering-capacity': {
    title: 'Table of covering capacities of paints and primers',
    publisher: 'estimating handbook, a public copy',
    year: null,
    seen: 'quoted',
  },
  'coat-practice': {
    title:
      'Usual coat thickness, neat-cement finish 2 kg/m², bitumen 4 to 6 m²/L, waste allowances, mixing water',
    publisher: 'building practice',
    year: null,
    seen: 'from-memory',
  },
  'steel-density': {
    title: 'Mass per metre from 7850 kg/m³: flat 7.85·w·t g/m, round 6.165·d² g/m',
    publisher: 'this project',
    year: null,
    seen: 'own-derivation',
  },
  'bamboo-geometry': {
    title: 'Thin-wall geometry of a culm: girth, strips, boards, wood volume, hoops cut from culms',
    publisher: 'this project',
    year: null,
    seen: 'own-derivation',
  },
  'irg-wp-08-30478': {
    title: 'IRG/WP 08-30478, borax and boric acid treatment of Bambusa balcooa strips (abstract)',
    publisher: 'International Research Group on Wood Protection',
    year: 2008,
    seen: 'quoted',
  },
  'borax-boric-recipe': {
    title: 'Borax to boric acid 1.5 : 1 by mass, 0.9 kg and 0.6 kg in 13.5 L of water',
    publisher: 'field recipe, a public copy',
    year: null,
    seen: 'quoted',
  },
  'cement-store-a': {
    title: 'Loss of cement strength in store: 20, 30, 40, 50 % after 3, 6, 12, 24 months',
    publisher: 'handbook table, a public copy',
    year: null,
    seen: 'quoted',
  },
  'cement-store-b': {
    title: 'Storage of cement: use within 90 days of production, otherwise test it first',
    publisher: "a cement maker's storage note, a public copy",
    year: null,
    seen: 'quoted',
  },
  'waste-practice': {
    title: 'Waste learned from what was issued and returned: used / net - 1; no published source',
    publisher: 'common practice',
    year: null,
    seen: 'common-practice',
  },
  'takeoff-own': {
    title: 'Measures of a domed cylindrical tank and exact decimal quantities',
    publisher: 'this project',
    year: null,
    seen: 'own-derivation',
  },
  'tank-practice': {
    title: 'Practice of building bamboo-band-mortar tanks; no published source',
    publisher: 'common practice',
    year: null,
    seen: 'common-practice',
  },
  'structure-proposals': {
    title:
      'Proposals of this project: curing 14 days, first fill in thirds, limits of the first inspection',
    publisher: 'this project',
    year: null,
    seen: 'own-derivation',
  },
  'gdwq-chlorine': {
    title: 'Guidelines for drinking-water quality: free chlorine at most 5 mg/L (health based)',
    publisher: 'World Health Organization',
    year: null,
    seen: 'from-memory',
  },
  'worked-tank': {
    title: 'Worked tank of 1.6 m by 1.6 m and the rounding of bags, checked by hand',
    publisher: 'this project',
    year: null,
    seen: 'own-derivation',
  },
  'unece-rec-20': {
    title: 'Recommendation 20, codes for units of measure used in international trade',
    publisher: 'UNECE, as copied in the npm package un-ece-recommendation 0.1.1',
    year: null,
    seen: 'quoted',
  },
  'unece-rec-21': {
    title: 'Recommendation 21, codes for packages, with the prefix X of Recommendation 20',
    publisher: 'UNECE, as copied in the npm package un-ece-recommendation 0.1.1',
    year: null,
    seen: 'quoted',
  },
} as const satisfies Readonly<Record<string, Source>>;
