import type {
  PriceSensitivity,
  PriceSensitivityQuery,
} from '../../../shared/contract/price-sensitivity.ts';
import type { CostLine } from '../../../shared/costing/cost-build-up.ts';
import { costSensitivity } from '../../../shared/costing/cost-sensitivity.ts';
import { ruleBroken } from '../../domain/errors.ts';
import { ONE_AT_A_TIME_CAUTION, sensitivityAnswer } from '../../domain/sensitivity-answer.ts';
import type { BuildWithLines } from './repository.ts';

type BillLine = BuildWithLines['lines'][number];

const CAUTIONS = {
  cash: {
    id: 'cash-only',
    text: 'What has to be paid, without what the community gives, transport of whole orders, contingency and overheads.',
  },
  'with-in-kind': {
    id: 'in-kind-valued',
    text: 'What the community gives is counted at its value, which nobody pays. Transport of whole orders, contingency and overheads are not in it.',
  },
} as const satisfies Record<PriceSensitivityQuery['basis'], object>;

/**
 * One cost line for each material: all its net quantities, and the waste that gives what the bill
 * buys of them, so that the cost of the material is that of its lines.
 */
function costLines(lines: readonly BillLine[]): CostLine[] {
  const byMaterial = new Map<string, BillLine[]>();
  for (const line of lines) {
    byMaterial.set(line.materialCode, [...(byMaterial.get(line.materialCode) ?? []), line]);
  }
  return [...byMaterial].flatMap(([code, ofMaterial]): CostLine[] => {
    const sum = (of: (line: BillLine) => string) =>
      ofMaterial.reduce((total, line) => total + Number(of(line)), 0);
    const quantity = sum((line) => line.netQuantity);
    const [first] = ofMaterial;
    if (first === undefined || quantity <= 0) return [];
    return [
      {
        code,
        kind: first.category === 'labour' ? 'labour' : 'material',
        quantity,
        wasteRatio: Math.max(0, sum((line) => line.withWasteQuantity) / quantity - 1),
        unitPrice: Number(first.unitRate),
      },
    ];
  });
}

/**
 * Which price or waste allowance of a bill moves the cost per litre most. A material has one price in
 * a bill, so that its lines move together.
 *
 * @throws {DomainError} `rule-broken` when the lines of the basis cost nothing
 */
export function sensitivityOfBill(
  build: BuildWithLines,
  { basis, rangeRatio }: PriceSensitivityQuery,
): PriceSensitivity {
  const counted = build.lines.filter((line) => basis === 'with-in-kind' || !line.isInKind);
  const lines = costLines(counted);
  if (!lines.some(({ quantity, unitPrice }) => quantity * unitPrice > 0)) {
    throw ruleBroken(
      'bill-without-cost',
      `The bill of ${build.code} has no line that costs anything, counted ${basis}.`,
    );
  }
  const { capacityL, currency } = build;
  const found = costSensitivity({
    buildUp: { lines, contingencyRatio: 0, capacityL, usableRatio: 1 },
    kinds: ['unit-price', 'waste-ratio'],
    rangeRatio,
  });
  const lineByCode = new Map(counted.map((line) => [line.materialCode, line]));
  const { factors, ...answer } = sensitivityAnswer(found, currency);
  return {
    buildId: build.id,
    buildCode: build.code,
    pricedOn: build.pricedOn,
    basis,
    capacityL,
    ...answer,
    factors: factors.flatMap(({ code, costPerDeliveredL: _, ...factor }) => {
      const line = lineByCode.get(code ?? '');
      if (line === undefined) return [];
      const { materialCode, materialId, materialName, isInKind } = line;
      return [{ ...factor, code: materialCode, materialId, materialName, isInKind }];
    }),
    cautions: [ONE_AT_A_TIME_CAUTION, CAUTIONS[basis]],
  };
}
