import type { Source } from '../sources.ts';

export const HYDROLOGY_SOURCES = {
  'iso-8601': source('ISO 8601-1, Date and time: calendar dates', 'ISO', 2019, 'from-memory'),
  'hinnant-date-algorithms': source(
    'Hinnant, chrono-compatible low-level date algorithms',
    'H. Hinnant',
    2013,
    'from-memory',
  ),
  'own-rainfall-rules': source(
    'Rules for daily rain records: complete, credible, gaps never filled silently',
    'hoopwright',
    null,
    'own-derivation',
  ),
  'etccdi-indices': source(
    'Indices of climate extremes: consecutive dry days, wet days from 1 mm',
    'ETCCDI',
    null,
    'from-memory',
  ),
  'noaa-daily-vega': source(
    'Daily weather of Seattle and New York, 2012 to 2015, NOAA NCDC, as distributed in vega-datasets',
    'NOAA',
    2015,
    'in-print',
  ),
  'storage-exact-reference': source(
    'Storage balance of the NOAA series in exact rational arithmetic, made apart from this engine',
    'hoopwright',
    null,
    'own-derivation',
  ),
  'warwick-dtu-catchments': source(
    'Domestic roofwater harvesting technology: catchments, Table 1',
    'University of Warwick, Development Technology Unit',
    null,
    'in-print',
  ),
  'en-16941-1': source(
    'EN 16941-1, On-site non-potable water systems: systems for the use of rainwater',
    'CEN',
    2018,
    'from-memory',
  ),
  'own-first-flush-convention': source(
    'First flush taken from the rain depth of each wet day, before the runoff coefficient',
    'hoopwright',
    null,
    'own-derivation',
  ),
  'martinson-thomas-2005': source(
    'Martinson and Thomas, Quantifying the first-flush phenomenon, 12th IRCSA conference, New Delhi',
    'IRCSA',
    2005,
    'quoted',
  ),
  'nist-sp-811': source(
    'NIST SP 811, Guide for the use of the SI, Appendix B: conversion factors',
    'NIST',
    2008,
    'from-memory',
  ),
  'own-demand-convention': source(
    'Demand as people times quantity times days of use in a week',
    'hoopwright',
    null,
    'own-derivation',
  ),
  'sphere-2011': source(
    'Sphere Handbook, table of basic survival water needs',
    'Sphere',
    2011,
    'quoted',
  ),
  'sphere-2018': source('Sphere Handbook, water supply standards', 'Sphere', 2018, 'from-memory'),
  'open-university-wash': source(
    'Water, sanitation and hygiene course, study session 15',
    'The Open University',
    null,
    'in-print',
  ),
  'who-schools-2009': source(
    'Water, sanitation and hygiene standards for schools in low-cost settings',
    'WHO',
    2009,
    'from-memory',
  ),
  'who-health-care-2008': source(
    'Essential environmental health standards in health care',
    'WHO',
    2008,
    'from-memory',
  ),
  'gould-nissen-petersen-1999': source(
    'Gould and Nissen-Petersen, Rainwater catchment systems for domestic supply',
    'Intermediate Technology Publications',
    1999,
    'from-memory',
  ),
  'jenkins-1978': source(
    'Jenkins, Pearson, Moore, Kim and Valentine, Feasibility of rainwater collection systems in California',
    'University of California',
    1978,
    'quoted',
  ),
  'fewkes-butler-2000': source(
    'Fewkes and Butler, Building Services Engineering Research and Technology 21(2), 99 to 106',
    'CIBSE',
    2000,
    'quoted',
  ),
  'latham-1983': source(
    'Latham, Rainwater collection systems: the design of single-purpose reservoirs',
    'University of Ottawa',
    1983,
    'from-memory',
  ),
  'imteaz-2011': source(
    'Imteaz and others, Resources, Conservation and Recycling 56, 80 to 86: reliability as days met',
    'Elsevier',
    2011,
    'quoted',
  ),
  'own-reliability-measures': source(
    'Volumetric and daily reliability, deficit and zero-yield days, with a tie of 1e-9 L',
    'hoopwright',
    null,
    'own-derivation',
  ),
  'own-service-indicators': source(
    'People-days and months at risk, kept apart from people registered',
    'hoopwright',
    null,
    'own-derivation',
  ),
  'rippl-1883': source(
    'Rippl, The capacity of storage reservoirs for water supply',
    'Institution of Civil Engineers',
    1883,
    'from-memory',
  ),
  'thomas-burden-1963': source(
    'Thomas and Burden, Operations research in water quality management',
    'Harvard Water Resources Group',
    1963,
    'from-memory',
  ),
  'loucks-van-beek-2017': source(
    'Loucks and van Beek, Water resource systems planning and management',
    'Springer',
    2017,
    'from-memory',
  ),
  'own-standard-tank-choice': source(
    'The smallest standard tank whose simulated reliability reaches the target',
    'hoopwright',
    null,
    'own-derivation',
  ),
} as const satisfies Readonly<Record<string, Source>>;

function source(
  title: string,
  publisher: string,
  year: number | null,
  seen: Source['seen'],
): Source {
  return { title, publisher, year, seen };
}
