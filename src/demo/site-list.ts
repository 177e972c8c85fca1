import { VILLAGES } from './scenario.ts';
import type { Random } from './seeded-random.ts';

const HEADER =
  'code,village,kind,roof_area_m2,roof_kind,people,litres_per_person_per_day,demand_l_per_day,ground_class,agreed_on,contact_name,phone,consent';

const GROUNDS = [
  'stiff-clay',
  'stiff-clay',
  'dense-sand',
  'dense-gravel',
  'weak-rock',
  'firm-clay',
];

/**
 * The list of sites as a coordinator would bring it: 120 rows, most of them good, some with a roof
 * that is too small or ground that nobody has looked at yet. All people are invented.
 */
export function inventedSiteList(random: Random, agreedOn: string): string {
  const rows: string[] = [];
  for (const village of VILLAGES) {
    for (let number = 1; number <= village.siteCount; number++) {
      rows.push(siteRow(random, village.code, number, agreedOn));
    }
  }
  return [HEADER, ...rows, ''].join('\r\n');
}

function siteRow(random: Random, village: string, number: number, agreedOn: string): string {
  const code = `${village}-${String(number).padStart(2, '0')}`;
  const isSchool = number === 1 && random.next() < 0.4;
  const hasSmallRoof = random.next() < 0.06;
  const isGroundUnknown = random.next() < 0.05;
  const people = isSchool ? random.integer(30, 60) : random.integer(3, 9);
  const roof = hasSmallRoof
    ? random.integer(6, 9)
    : isSchool
      ? random.integer(110, 180)
      : random.integer(28, 78);
  const ground = isGroundUnknown ? '' : random.pick(GROUNDS);
  return [
    code,
    village,
    isSchool ? 'school' : 'household',
    roof,
    random.next() < 0.85 ? 'metal-sheet' : 'tile',
    people,
    isSchool ? '1.5' : '',
    '',
    ground,
    agreedOn,
    isSchool ? '' : `Invented Person ${code}`,
    isSchool ? '' : `+000 555 ${String(random.integer(0, 9_999)).padStart(4, '0')}`,
    isSchool ? '' : 'yes',
  ].join(',');
}
