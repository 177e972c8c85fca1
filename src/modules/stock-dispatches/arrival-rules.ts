import type { NewStockArrival, StockDispatch } from '../../../shared/contract/stock-dispatch.ts';
import { reconcileReceipt } from '../../../shared/procurement/receipt.ts';
import { compareQuantities, sumQuantities } from '../../../shared/takeoff/quantity.ts';
import { type FieldError, invalidContent } from '../../domain/errors.ts';

/**
 * Every line of the dispatch is reported once, what is reported adds up, and what is damaged, missing
 * or in excess is explained.
 */
export function requireWholeArrival(dispatch: StockDispatch, arrival: NewStockArrival): void {
  const errors: FieldError[] = [];
  const sent = new Map(dispatch.lines.map((line) => [line.id, line]));
  const seen = new Set<string>();
  if (arrival.arrivedOn < dispatch.dispatchedOn) {
    errors.push({
      pointer: '/arrivedOn',
      code: 'date.before-dispatch',
      message: `must not be before the dispatch of ${dispatch.dispatchedOn}`,
      rejectedValue: arrival.arrivedOn,
    });
  }
  for (const [index, line] of arrival.lines.entries()) {
    const pointer = `/lines/${index}`;
    const dispatched = sent.get(line.dispatchLineId)?.dispatchedQuantity;
    if (dispatched === undefined || seen.has(line.dispatchLineId)) {
      errors.push({
        pointer: `${pointer}/dispatchLineId`,
        code: dispatched === undefined ? 'reference.unknown' : 'line.twice',
        message:
          dispatched === undefined
            ? `is not a line of dispatch ${dispatch.noteNumber}`
            : 'is reported twice',
        rejectedValue: line.dispatchLineId,
      });
      continue;
    }
    seen.add(line.dispatchLineId);
    errors.push(...lineErrors(line, dispatched, pointer));
  }
  const left = dispatch.lines.filter(({ id }) => !seen.has(id));
  if (left.length > 0) {
    errors.push({
      pointer: '/lines',
      code: 'lines.missing',
      message: `leave out ${left.map(({ materialCode, id }) => `${materialCode} (${id})`).join(', ')}`,
    });
  }
  if (errors.length > 0) throw invalidContent(errors);
}

function lineErrors(
  line: NewStockArrival['lines'][number],
  dispatched: string,
  pointer: string,
): FieldError[] {
  const unloaded = sumQuantities([line.goodQuantity, line.damagedQuantity]);
  const is = reconcileReceipt({ dispatched, unloaded, damaged: line.damagedQuantity });
  const errors: FieldError[] = [];
  for (const [field, expected] of [
    ['missingQuantity', is.missing],
    ['excessQuantity', is.excess],
  ] as const) {
    if (compareQuantities(line[field], expected) === 0) continue;
    errors.push({
      pointer: `${pointer}/${field}`,
      code: 'arrival.does-not-add-up',
      message: `must be ${expected}: ${dispatched} were dispatched, ${line.goodQuantity} came good and ${line.damagedQuantity} damaged`,
      rejectedValue: line[field],
    });
  }
  const differs = [line.damagedQuantity, line.missingQuantity, line.excessQuantity].some(
    (quantity) => compareQuantities(quantity, '0') > 0,
  );
  if (differs && line.remarks === '') {
    errors.push({
      pointer: `${pointer}/remarks`,
      code: 'remarks.missing',
      message: 'say what was damaged, missing or in excess, and why',
    });
  }
  return errors;
}
