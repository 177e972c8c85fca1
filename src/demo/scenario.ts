/**
 * The demonstration season. District, villages, people, donors, suppliers, prices and rain are all
 * invented; any likeness to a real place, person or firm is chance.
 */
export const ORGANISATION_NAME = 'Amberwell Rainwater Programme (invented)';
export const DEMO_DOMAIN = 'demo.example';
export const DISTRICT = 'Amberwell (invented)';
export const SEED = 20_260_401;
export const CURRENCY = 'USD';

export const PEOPLE = [
  { mailbox: 'admin', name: 'Ada Demo', roles: ['admin'] },
  { mailbox: 'coordinator', name: 'Cora Demo', roles: ['coordinator'] },
  { mailbox: 'deputy', name: 'Dilan Demo', roles: ['coordinator'] },
  { mailbox: 'engineer', name: 'Enno Demo', roles: ['engineer'], registration: 'DEMO-ENG-001' },
  { mailbox: 'supervisor', name: 'Suri Demo', roles: ['supervisor'] },
  { mailbox: 'storekeeper', name: 'Stan Demo', roles: ['storekeeper'] },
  { mailbox: 'inspector', name: 'Iris Demo', roles: ['inspector'] },
  { mailbox: 'donor', name: 'Dora Demo', roles: ['donor'], donorCode: 'LANTERN' },
] as const;

export const STORES = [
  {
    code: 'ST-NORTH',
    name: 'North store',
    place: 'Amber Crossing',
    latDeg: 0.12,
    lonDeg: 0.1,
    floorAreaM2: 60,
  },
  {
    code: 'ST-SOUTH',
    name: 'South store',
    place: 'Well Bridge',
    latDeg: -0.05,
    lonDeg: 0.14,
    floorAreaM2: 45,
  },
] as const;

export const STATIONS = [
  { code: 'RS-HILL', name: 'Hill school rain gauge', wetnessRatio: 1.15 },
  { code: 'RS-PLAIN', name: 'Plain clinic rain gauge', wetnessRatio: 0.9 },
] as const;

/** Road kilometres from the north and the south store; months in which lorries get through. */
export const VILLAGES = [
  { code: 'LARK', name: 'Larkfold', station: 'RS-HILL', roadKm: [8, 27], siteCount: 14 },
  { code: 'TEAL', name: 'Upper Teal', station: 'RS-HILL', roadKm: [13, 33], siteCount: 13 },
  {
    code: 'FERN',
    name: 'Fernhollow',
    station: 'RS-HILL',
    roadKm: [19, 38],
    siteCount: 12,
    cutOff: [4, 5],
  },
  { code: 'QUAY', name: 'Old Quay', station: 'RS-HILL', roadKm: [22, 21], siteCount: 12 },
  { code: 'MOSS', name: 'Mossgate', station: 'RS-HILL', roadKm: [16, 24], siteCount: 12 },
  {
    code: 'REED',
    name: 'Reedmarsh',
    station: 'RS-PLAIN',
    roadKm: [31, 9],
    siteCount: 13,
    cutOff: [4, 5, 11],
  },
  { code: 'SALT', name: 'Saltpan', station: 'RS-PLAIN', roadKm: [36, 14], siteCount: 12 },
  { code: 'WICK', name: 'Wickerby', station: 'RS-PLAIN', roadKm: [29, 11], siteCount: 12 },
  { code: 'DUNE', name: 'Dune End', station: 'RS-PLAIN', roadKm: [41, 18], siteCount: 10 },
  { code: 'PINE', name: 'Pinewell', station: 'RS-PLAIN', roadKm: [33, 20], siteCount: 10 },
] as const;

export const DONORS = [
  { code: 'LANTERN', name: 'Lantern Trust (invented)' },
  { code: 'HARBOUR', name: 'Harbour Twin Towns (invented)' },
  { code: 'QUIET', name: 'Quiet Water Foundation (invented)' },
] as const;

export const GRANTS = [
  {
    code: 'G-LANTERN',
    donor: 'LANTERN',
    currency: 'USD',
    amount: '60000.00',
    ratePolicy: 'transaction-date',
  },
  {
    code: 'G-HARBOUR',
    donor: 'HARBOUR',
    currency: 'EUR',
    amount: '40000.00',
    ratePolicy: 'period-average',
  },
  { code: 'G-QUIET', donor: 'QUIET', currency: 'CHF', amount: '30000.00', ratePolicy: 'fixed' },
] as const;

/** Share of the grant amount in each budget line, in percent; together 100. */
export const BUDGET_LINES = [
  { code: 'MAT', title: 'Materials', percent: 62 },
  { code: 'LAB', title: 'Skilled labour', percent: 23 },
  { code: 'TRN', title: 'Transport', percent: 10 },
  { code: 'MON', title: 'Inspection and monitoring', percent: 5 },
] as const;

/** Invented exchange rates into the currencies of the grants. */
export const EXCHANGE_RATES = [
  { from: 'USD', to: 'EUR', rates: ['0.9180', '0.9235', '0.9160', '0.9205'] },
  { from: 'USD', to: 'CHF', rates: ['0.8870', '0.8845', '0.8905', '0.8890'] },
] as const;

export const SUPPLIERS = [
  { code: 'MILLGATE', name: "Millgate Builders' Yard (invented)", place: 'Amber Crossing' },
  { code: 'BANDCO', name: 'Strand Steel and Band (invented)', place: 'Well Bridge' },
  { code: 'GROVE', name: 'Grove Bamboo Growers (invented)', place: 'Upper Teal' },
  { code: 'VILLAGE', name: 'Village committees (invented)', place: 'Amberwell' },
] as const;

export const CREWS = [
  { code: 'CREW-A', name: 'Crew Heron', size: 5, home: 'LARK' },
  { code: 'CREW-B', name: 'Crew Kite', size: 5, home: 'QUAY' },
  { code: 'CREW-C', name: 'Crew Swift', size: 6, home: 'REED' },
  { code: 'CREW-D', name: 'Crew Plover', size: 4, home: 'WICK' },
  { code: 'CREW-E', name: 'Crew Martin', size: 5, home: 'DUNE' },
] as const;
