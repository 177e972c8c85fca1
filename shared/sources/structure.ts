import type { Source } from '../sources.ts';

/** Walls, bands, mortar and domes. */
const SHELL_AND_BAND_SOURCES = {
  'timoshenko-1959': {
    title: 'Theory of Plates and Shells, 2nd edition, articles 114 to 117',
    publisher: 'McGraw-Hill',
    year: 1959,
    seen: 'from-memory',
  },
  'pca-1993': {
    title: 'Circular Concrete Tanks without Prestressing, tables A-1, A-2, A-5, A-7 and A-12',
    publisher: 'Portland Cement Association',
    year: 1993,
    seen: 'from-memory',
  },
  'pca-1993-section-7': {
    title:
      'Circular Concrete Tanks without Prestressing, section 7 example, as quoted in the tests of an open finite element library',
    publisher: 'Portland Cement Association',
    year: 1993,
    seen: 'quoted',
  },
  'is-3370-4': {
    title: 'Concrete structures for the storage of liquids, part 4, design tables',
    publisher: 'Bureau of Indian Standards',
    year: 1967,
    seen: 'quoted',
  },
  'is-3370-2': {
    title: 'Concrete structures for storage of liquids, part 2, reinforced concrete structures',
    publisher: 'Bureau of Indian Standards',
    year: 2009,
    seen: 'quoted',
  },
  'is-800': {
    title: 'General construction in steel, working stress method',
    publisher: 'Bureau of Indian Standards',
    year: 1984,
    seen: 'from-memory',
  },
  'is-456': {
    title: 'Plain and reinforced concrete, code of practice',
    publisher: 'Bureau of Indian Standards',
    year: 2000,
    seen: 'from-memory',
  },
  'iso-9223': {
    title: 'Corrosion of metals and alloys: corrosivity of atmospheres',
    publisher: 'International Organization for Standardization',
    year: 2012,
    seen: 'from-memory',
  },
  'lock-gate-girders': {
    title: 'Spacing of equally loaded horizontal girders on a sluice gate (textbook exercise)',
    publisher: 'Fluid mechanics textbooks',
    year: null,
    seen: 'from-memory',
  },
  'iso-22156': {
    title: 'Bamboo structures: bamboo culms, structural design',
    publisher: 'International Organization for Standardization',
    year: 2021,
    seen: 'from-memory',
  },
  'vadhanavikkit-pannachet-1987': {
    title: 'Investigation of bamboo reinforced concrete water tanks, abstract',
    publisher: '3rd International Conference on Rain Water Cistern Systems, Khon Kaen',
    year: 1987,
    seen: 'quoted',
  },
  'archila-2018': {
    title:
      'Bamboo reinforced concrete: a critical review, Materials and Structures 51:102, abstract',
    publisher: 'RILEM',
    year: 2018,
    seen: 'quoted',
  },
  'salzer-2018': {
    title: 'Strength of Bambusa blumeana for structural design, abstract',
    publisher: 'Journal article',
    year: 2018,
    seen: 'quoted',
  },
  'aci-549-1r': {
    title: 'Guide for the design, construction and repair of ferrocement, 549.1R-93',
    publisher: 'American Concrete Institute',
    year: 1993,
    seen: 'from-memory',
  },
  'en-1992-3': {
    title: 'Design of concrete structures, part 3, liquid retaining and containment structures',
    publisher: 'European Committee for Standardization',
    year: 2006,
    seen: 'from-memory',
  },
  'bs-8007': {
    title: 'Design of concrete structures for retaining aqueous liquids, clause 9.2',
    publisher: 'British Standards Institution',
    year: 1987,
    seen: 'from-memory',
  },
  'is-875-2': {
    title: 'Design loads for buildings and structures, part 2, imposed loads',
    publisher: 'Bureau of Indian Standards',
    year: 1987,
    seen: 'from-memory',
  },
  'garlock-domes': {
    title:
      'The Art of Structural Engineering: Vaults, course examples of two domes, as quoted in the tests of an open finite element library',
    publisher: 'Princeton University',
    year: null,
    seen: 'quoted',
  },
  'punmia-intze': {
    title: 'Reinforced concrete structures, Intze tank example, top dome',
    publisher: 'Laxmi Publications',
    year: null,
    seen: 'from-memory',
  },
  'zoelly-1915': {
    title: 'Classical buckling pressure of a thin spherical shell',
    publisher: 'Shell theory textbooks',
    year: 1915,
    seen: 'from-memory',
  },
} as const satisfies Readonly<Record<string, Source>>;

/** Ground, wind, earthquake and pipes. */
const ACTION_SOURCES = {
  'ibc-2012-1806': {
    title: 'International Building Code, table 1806.2, presumptive load-bearing values',
    publisher: 'International Code Council',
    year: 2012,
    seen: 'quoted',
  },
  'is-1904': {
    title: 'Design and construction of foundations in soils, safe bearing capacities',
    publisher: 'Bureau of Indian Standards',
    year: 1986,
    seen: 'quoted',
  },
  'field-bearing-table': {
    title:
      'Allowable bearing by picket and thumb tests (taken to be National Building Code of Canada table 9.4.4.1)',
    publisher: 'National Research Council Canada',
    year: null,
    seen: 'quoted',
  },
  'bs-8004': {
    title: 'Foundations, table 1, presumed allowable bearing values',
    publisher: 'British Standards Institution',
    year: 1986,
    seen: 'from-memory',
  },
  'is-875-3': {
    title: 'Design loads for buildings and structures, part 3, wind loads',
    publisher: 'Bureau of Indian Standards',
    year: 2015,
    seen: 'from-memory',
  },
  'gsdma-2007': {
    title: 'Guidelines for seismic design of liquid storage tanks, circular tanks, section 4',
    publisher: 'IIT Kanpur and Gujarat State Disaster Management Authority',
    year: 2007,
    seen: 'from-memory',
  },
  'is-1893-2': {
    title: 'Earthquake resistant design of structures, part 2, liquid retaining tanks',
    publisher: 'Bureau of Indian Standards',
    year: 2014,
    seen: 'quoted',
  },
  'sloshing-potential-flow': {
    title: 'First sloshing mass of a rigid upright cylinder, linear potential flow',
    publisher: 'Own derivation',
    year: null,
    seen: 'own-derivation',
  },
  'en-12056-3': {
    title: 'Gravity drainage systems inside buildings, part 3, roof drainage (Wyly-Eaton equation)',
    publisher: 'European Committee for Standardization',
    year: 2000,
    seen: 'quoted',
  },
  'nspc-2006': {
    title: 'National Standard Plumbing Code, table 13.6.1, vertical conductors and leaders',
    publisher: 'Plumbing-Heating-Cooling Contractors Association',
    year: 2006,
    seen: 'quoted',
  },
  'chicago-18-29-1106': {
    title: 'Municipal code, table 18-29-1106.2, size of vertical conductors and leaders',
    publisher: 'City of Chicago',
    year: null,
    seen: 'quoted',
  },
  'nbc-india-9': {
    title: 'National Building Code of India, part 9, rainwater pipes',
    publisher: 'Bureau of Indian Standards',
    year: null,
    seen: 'quoted',
  },
  'orifice-law': {
    title: 'Flow through a sharp orifice under a steady head, Cd 0.6',
    publisher: 'Fluid mechanics textbooks',
    year: null,
    seen: 'common-practice',
  },
} as const satisfies Readonly<Record<string, Source>>;

/** Safety, practice and what this project set itself. */
const PRACTICE_SOURCES = {
  'hasse-1989': {
    title: 'Rainwater Reservoirs above Ground Structures for Roof Catchment, section 5.1',
    publisher: 'GATE/GTZ',
    year: 1989,
    seen: 'quoted',
  },
  'wedc-36': {
    title: 'Technical Brief 36, Ferrocement water tanks',
    publisher: 'WEDC, Loughborough University',
    year: null,
    seen: 'quoted',
  },
  'dtu-case-study-11': {
    title: 'Domestic roofwater harvesting case study 11, Khon Kaen tank',
    publisher: 'Development Technology Unit, University of Warwick',
    year: null,
    seen: 'quoted',
  },
  'hse-cis26': {
    title: 'Cement, construction information sheet 26',
    publisher: 'Health and Safety Executive',
    year: null,
    seen: 'quoted',
  },
  'niosh-asphalt': {
    title: 'Asphalt fumes: exposure limits',
    publisher: 'NIOSH and OSHA',
    year: 2003,
    seen: 'quoted',
  },
  'cpwr-asphalt': {
    title: 'Hazard alert, hot asphalt and kettles',
    publisher: 'CPWR',
    year: null,
    seen: 'quoted',
  },
  'osha-1910-146': {
    title: 'Permit-required confined spaces',
    publisher: 'OSHA',
    year: null,
    seen: 'from-memory',
  },
  'tank-entry-accidents': {
    title: 'Accounts of deaths in water tanks (fire protection body and press)',
    publisher: 'Several',
    year: null,
    seen: 'quoted',
  },
  'us-permit-exemption': {
    title: 'Model building code, work exempt from permit: water tanks on grade',
    publisher: 'Municipal lists quoting the International Building Code',
    year: null,
    seen: 'quoted',
  },
  'site-safety-practice': {
    title: 'Site safety practice for cement, lime, heights, lifting and first filling',
    publisher: 'Common practice',
    year: null,
    seen: 'common-practice',
  },
  'tributary-load': {
    title: 'Integral of water pressure over the wall height that one band holds',
    publisher: 'Own derivation',
    year: null,
    seen: 'own-derivation',
  },
  'plane-geometry': {
    title: 'Circles, cylinders and spherical caps',
    publisher: 'Own derivation',
    year: null,
    seen: 'own-derivation',
  },
  'project-limit': {
    title: 'Limits and defaults set by this project where no source was found',
    publisher: 'hoopwright',
    year: null,
    seen: 'own-derivation',
  },
  'worked-example-5000-l': {
    title:
      'Independent calculation of a 5,000 litre tank: closed form, boundary-value solver and finite elements',
    publisher: 'Own derivation',
    year: null,
    seen: 'own-derivation',
  },
} as const satisfies Readonly<Record<string, Source>>;

export const STRUCTURE_SOURCES = {
  ...SHELL_AND_BAND_SOURCES,
  ...ACTION_SOURCES,
  ...PRACTICE_SOURCES,
} as const satisfies Readonly<Record<string, Source>>;
