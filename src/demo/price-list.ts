import { BAMBOO_BAND_MORTAR_MATERIALS } from '../../shared/takeoff/materials.ts';
import { addDays } from '../../shared/units/calendar.ts';
import type { DemoClient } from './demo-client.ts';
import type { Ids } from './demo-records.ts';
import { handlingOf } from './material-handling.ts';
import { CURRENCY } from './scenario.ts';

type Category =
  | 'binder'
  | 'aggregate'
  | 'water'
  | 'bamboo'
  | 'steel'
  | 'fittings'
  | 'treatment'
  | 'finish'
  | 'formwork'
  | 'consumable'
  | 'labour';

/** Invented price of one pack of that content: pack code, content, price, lead days, category. */
type Price = readonly [pack: string, content: string, price: string, leadDays: number, Category];

export const PRICES: Readonly<Record<string, Price>> = {
  cement: ['X5M', '50', '9.40', 5, 'binder'],
  sand: ['MTQ', '1', '18.00', 3, 'aggregate'],
  'coarse-aggregate': ['MTQ', '1', '24.00', 3, 'aggregate'],
  hardcore: ['MTQ', '1', '15.00', 3, 'aggregate'],
  water: ['XDR', '200', '0.80', 1, 'water'],
  'bamboo-culm': ['XBE', '10', '14.00', 10, 'bamboo'],
  borax: ['XSA', '25', '38.00', 14, 'treatment'],
  'boric-acid': ['XSA', '25', '44.00', 14, 'treatment'],
  'bitumen-emulsion': ['XDR', '20', '36.00', 7, 'treatment'],
  'temporary-post': ['H87', '1', '1.20', 7, 'formwork'],
  'steel-band-25x2': ['XCL', '50', '41.00', 12, 'steel'],
  'bolt-m8': ['XBX', '100', '17.00', 7, 'steel'],
  'binding-wire': ['XRO', '10', '16.50', 7, 'steel'],
  'hatch-frame': ['SET', '1', '11.00', 14, 'fittings'],
  'hatch-lid': ['H87', '1', '19.00', 14, 'fittings'],
  'inlet-fitting': ['SET', '1', '7.50', 10, 'fittings'],
  'overflow-fitting': ['SET', '1', '8.20', 10, 'fittings'],
  'insect-screen': ['XRO', '15', '27.00', 10, 'fittings'],
  'washout-fitting': ['SET', '1', '6.40', 10, 'fittings'],
  tap: ['XBX', '12', '49.00', 10, 'fittings'],
  'curing-cover': ['XRO', '40', '22.00', 7, 'consumable'],
  'cement-primer': ['XDR', '20', '47.00', 7, 'finish'],
  'masonry-paint': ['XDR', '20', '62.00', 7, 'finish'],
  'calcium-hypochlorite-65': ['XSA', '5', '21.00', 14, 'treatment'],
  'labour-foreman': ['DAY', '1', '16.00', 1, 'labour'],
  'labour-mason': ['DAY', '1', '13.00', 1, 'labour'],
  'labour-labourer': ['DAY', '1', '6.50', 1, 'labour'],
  'labour-water-carrier': ['DAY', '1', '5.50', 1, 'labour'],
  'labour-bamboo-worker': ['DAY', '1', '10.00', 1, 'labour'],
  'labour-painter': ['DAY', '1', '9.00', 1, 'labour'],
};

/** Suppliers of each category, the first at the list price, the second at 4 % more but sooner. */
export const SUPPLIERS_OF: Readonly<Record<Category, readonly string[]>> = {
  binder: ['MILLGATE', 'BANDCO'],
  aggregate: ['MILLGATE', 'VILLAGE'],
  water: ['VILLAGE'],
  bamboo: ['GROVE'],
  steel: ['BANDCO', 'MILLGATE'],
  fittings: ['BANDCO', 'MILLGATE'],
  treatment: ['MILLGATE'],
  finish: ['MILLGATE', 'BANDCO'],
  formwork: ['GROVE', 'MILLGATE'],
  consumable: ['MILLGATE'],
  labour: ['VILLAGE'],
};

export const SECOND_SUPPLIER_FACTOR = 1.04;

/** Invented cost of one order, at whichever supplier. */
export const ORDER_COSTS: Readonly<Partial<Record<Category, string>>> = {
  binder: '4.00',
  aggregate: '6.00',
  bamboo: '5.00',
  steel: '4.00',
  fittings: '3.00',
};

type Breaks = readonly [rule: 'all-units' | 'incremental', [fromPacks: number, factor: number][]];

/** Invented discounts: from how many packs on, times which factor. */
export const BREAKS: Readonly<Record<string, Breaks>> = {
  cement: [
    'all-units',
    [
      [120, 0.97],
      [400, 0.94],
    ],
  ],
  sand: ['incremental', [[30, 0.96]]],
  'bamboo-culm': ['incremental', [[80, 0.95]]],
  'steel-band-25x2': ['all-units', [[40, 0.97]]],
};

function termsOf(code: string, category: Category, pricePerPack: string) {
  const orderCost = ORDER_COSTS[category] ?? '0';
  const breaks = BREAKS[code];
  if (!breaks) return { orderCost };
  const [breakRule, steps] = breaks;
  const priceBreaks = steps.map(([fromPacks, factor]) => ({
    fromPacks,
    pricePerPack: (Number(pricePerPack) * factor).toFixed(2),
  }));
  return { orderCost, breakRule, priceBreaks };
}

/** Every material that the take-off of the designs may name, with dated offers. */
export async function makePriceList(
  coordinator: DemoClient,
  supplierIds: Ids,
  season: { startsOn: string; endsOn: string },
): Promise<Ids> {
  const titles = new Map(BAMBOO_BAND_MORTAR_MATERIALS.map((m) => [m.materialCode, m]));
  const materialIds = new Map<string, string>();
  for (const [code, [packCode, packContent, price, leadDays, category]] of Object.entries(PRICES)) {
    const known = titles.get(code) ?? titles.get(code.replace(/-\d+x[\d.]+$/, ''));
    if (!known) throw new Error(`The price list names ${code}, which no recipe does`);
    const material = await coordinator.post('/materials', {
      code,
      name: known.title,
      category,
      unitCode: known.unitCode,
      ...handlingOf(code),
    });
    materialIds.set(code, material.id);
    for (const [rank, supplier] of SUPPLIERS_OF[category].entries()) {
      const pricePerPack = rank === 0 ? price : (Number(price) * SECOND_SUPPLIER_FACTOR).toFixed(2);
      await coordinator.post('/offers', {
        supplierId: supplierIds.get(supplier),
        materialId: material.id,
        packCode,
        packContent,
        pricePerPack,
        currency: CURRENCY,
        minimumPacks: 1,
        ...termsOf(code, category, pricePerPack),
        leadDays: Math.max(1, leadDays - rank * 2),
        validFrom: addDays(season.startsOn, -30),
        validUntil: season.endsOn,
      });
    }
  }
  return materialIds;
}
