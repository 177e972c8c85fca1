import type { UnitCode } from './recipe.ts';

export interface CatalogueMaterial {
  readonly materialCode: string;
  readonly title: string;
  readonly unitCode: UnitCode;
  /** Days after which it must be tested or renewed before it is issued. */
  readonly shelfLifeDays?: number;
  readonly caution?: string;
}

const WATER_SIDE =
  'Anything that may touch the water must be rated for drinking water. No coal tar.';

/**
 * The materials that the bamboo-band-mortar recipe names. Steel bands carry their size as well:
 * steel-band-25x2 is 25 mm wide and 2 mm thick.
 *
 * @source tank-practice
 */
export const BAMBOO_BAND_MORTAR_MATERIALS: readonly CatalogueMaterial[] = [
  {
    materialCode: 'cement',
    title: 'Portland cement',
    unitCode: 'KGM',
    shelfLifeDays: 90,
    caution: 'Wet cement burns skin and eyes. Gloves, boots, eye wash; wash at once.',
  },
  { materialCode: 'sand', title: 'Clean washed sand, measured dry', unitCode: 'MTQ' },
  { materialCode: 'coarse-aggregate', title: 'Crushed stone to 20 mm', unitCode: 'MTQ' },
  { materialCode: 'hardcore', title: 'Broken stone for the bed', unitCode: 'MTQ' },
  { materialCode: 'water', title: 'Mixing and curing water', unitCode: 'LTR' },
  { materialCode: 'bamboo-culm', title: 'Bamboo culm, mature', unitCode: 'H87' },
  {
    materialCode: 'borax',
    title: 'Borax',
    unitCode: 'KGM',
    caution: 'Harmful when swallowed. Keep from food, children and animals.',
  },
  {
    materialCode: 'boric-acid',
    title: 'Boric acid',
    unitCode: 'KGM',
    caution: 'Harmful when swallowed. Keep from food, children and animals.',
  },
  {
    materialCode: 'bitumen-emulsion',
    title: 'Bitumen emulsion, cold applied',
    unitCode: 'LTR',
    caution: `${WATER_SIDE} Open air only, never inside a closed tank.`,
  },
  { materialCode: 'temporary-post', title: 'Post of the frame, reused', unitCode: 'H87' },
  { materialCode: 'steel-band', title: 'Flat steel band, galvanised', unitCode: 'MTR' },
  { materialCode: 'bolt-m8', title: 'Bolt M8 with nut and washers', unitCode: 'H87' },
  { materialCode: 'binding-wire', title: 'Binding wire 1.22 mm', unitCode: 'KGM' },
  { materialCode: 'hatch-frame', title: 'Hatch frame, 0.56 m clear', unitCode: 'SET' },
  { materialCode: 'hatch-lid', title: 'Hatch lid, rust resistant, lockable', unitCode: 'H87' },
  { materialCode: 'inlet-fitting', title: 'Inlet with strainer', unitCode: 'SET' },
  { materialCode: 'overflow-fitting', title: 'Overflow with screen', unitCode: 'SET' },
  { materialCode: 'insect-screen', title: 'Insect screen', unitCode: 'MTK' },
  { materialCode: 'washout-fitting', title: 'Washout with plug', unitCode: 'SET' },
  { materialCode: 'tap', title: 'Tap', unitCode: 'H87' },
  { materialCode: 'curing-cover', title: 'Sacking and sheet for curing', unitCode: 'MTK' },
  { materialCode: 'cement-primer', title: 'Cement primer', unitCode: 'LTR' },
  { materialCode: 'masonry-paint', title: 'Exterior masonry paint', unitCode: 'LTR' },
  {
    materialCode: 'calcium-hypochlorite-65',
    title: 'Calcium hypochlorite powder, 65 % chlorine',
    unitCode: 'KGM',
    caution:
      'Powder into water, never water onto powder. Never mix with acids. Gloves and goggles.',
  },
  ...(
    [
      ['foreman', 'Foreman'],
      ['mason', 'Mason'],
      ['labourer', 'Labourer'],
      ['water-carrier', 'Water carrier'],
      ['bamboo-worker', 'Bamboo worker'],
      ['painter', 'Painter'],
    ] as const
  ).map(([trade, title]) => ({
    materialCode: `labour-${trade}`,
    title: `${title}, day of 8 hours`,
    unitCode: 'DAY' as const,
  })),
];
