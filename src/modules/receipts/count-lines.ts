import type { DeliveryNote, NewGoodsReceipt } from '../../../shared/contract/receipt.ts';
import { reconcileReceipt } from '../../../shared/procurement/receipt.ts';
import { compareQuantities, sumQuantities } from '../../../shared/takeoff/quantity.ts';
import { type FieldError, invalidContent } from '../../domain/errors.ts';

type CountedLine = NewGoodsReceipt['lines'][number];
type NoteLine = DeliveryNote['lines'][number];

export interface MatchedCount {
  readonly counted: CountedLine;
  readonly noted: NoteLine;
  /** Where the line stands in the body. */
  readonly pointer: string;
}

/**
 * Each line of a delivery note with what was counted of it. Every line must be counted once, and add
 * up: dispatched + excess = good + damaged + missing, with nothing missing that is in excess too.
 */
export function matchCounts(note: DeliveryNote, lines: readonly CountedLine[]): MatchedCount[] {
  const errors: FieldError[] = [];
  const matched: MatchedCount[] = [];
  for (const [index, counted] of lines.entries()) {
    const pointer = `/lines/${index}`;
    const noted = note.lines.find(({ orderLineId }) => orderLineId === counted.orderLineId);
    const isTwice = matched.some((one) => one.noted === noted);
    if (!noted || isTwice) {
      errors.push({
        pointer: `${pointer}/orderLineId`,
        code: isTwice ? 'line.twice' : 'reference.unknown',
        message: isTwice ? 'occurs twice' : `is not on delivery note ${note.noteNumber}`,
        rejectedValue: counted.orderLineId,
      });
      continue;
    }
    errors.push(...faultsOf(noted, counted, pointer));
    matched.push({ counted, noted, pointer });
  }
  const open = note.lines.filter((line) => !matched.some(({ noted }) => noted === line));
  for (const { orderLineId, materialCode } of open) {
    errors.push({
      pointer: '/lines',
      code: 'line.missing',
      message: `lacks ${materialCode} of delivery note ${note.noteNumber}; count every line, nothing come is all missing`,
      rejectedValue: orderLineId,
    });
  }
  if (errors.length > 0) throw invalidContent(errors);
  return matched;
}

function faultsOf(noted: NoteLine, counted: CountedLine, pointer: string): FieldError[] {
  const { dispatchedQuantity: dispatched, materialCode, unitCode } = noted;
  const { goodQuantity, damagedQuantity, missingQuantity, excessQuantity, lots } = counted;
  const errors: FieldError[] = [];
  const { missing, excess } = reconcileReceipt({
    dispatched,
    unloaded: sumQuantities([goodQuantity, damagedQuantity]),
    damaged: damagedQuantity,
  });
  for (const [field, given, found] of [
    ['missingQuantity', missingQuantity, missing],
    ['excessQuantity', excessQuantity, excess],
  ] as const) {
    if (compareQuantities(given, found) === 0) continue;
    errors.push({
      pointer: `${pointer}/${field}`,
      code: 'receipt.adds-up',
      message: `must be ${found}: dispatched + excess = good + damaged + missing; ${materialCode}: ${dispatched} ${unitCode} dispatched, ${goodQuantity} good, ${damagedQuantity} damaged, ${missingQuantity} missing, ${excessQuantity} excess`,
      rejectedValue: given,
    });
  }
  const inLots = sumQuantities(lots.map(({ quantity }) => quantity));
  if (lots.length > 0 && compareQuantities(inLots, goodQuantity) !== 0) {
    errors.push({
      pointer: `${pointer}/lots`,
      code: 'lots.add-up',
      message: `must add up to the good quantity ${goodQuantity}; they are ${inLots}`,
      rejectedValue: inLots,
    });
  }
  return errors;
}
