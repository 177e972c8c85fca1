import { FIELD_OPERATIONS, type SyncBatch } from '../../../shared/contract/sync.ts';
import { type FieldError, invalidContent } from '../../domain/errors.ts';

const UUID = '[0-9a-fA-F]{8}-(?:[0-9a-fA-F]{4}-){3}[0-9a-fA-F]{12}';
const PATHS = FIELD_OPERATIONS.map((path) => new RegExp(`^${path.replace(':id', UUID)}$`));

/**
 * Refuses a batch that cannot be what a device meant: an address that is no field operation, a key
 * that comes twice, a dependence on something that does not come before. Nothing of it is done.
 */
export function refuseUnclearBatch({ operations }: SyncBatch): void {
  const errors: FieldError[] = [];
  const earlier = new Set<string>();
  for (const [index, { key, path, after }] of operations.entries()) {
    const refuse = (field: string, code: string, message: string, rejectedValue: string) =>
      errors.push({ pointer: `/operations/${index}/${field}`, code, message, rejectedValue });
    if (!PATHS.some((pattern) => pattern.test(path))) {
      refuse('path', 'operation.unknown', `must be one of ${FIELD_OPERATIONS.join(', ')}`, path);
    }
    if (earlier.has(key)) refuse('key', 'key.twice', 'occurs twice in this batch', key);
    if (after !== undefined && !earlier.has(after)) {
      refuse('after', 'key.not-before', 'is not the key of an earlier operation', after);
    }
    earlier.add(key);
  }
  if (errors.length > 0) throw invalidContent(errors);
}
