import { execFile } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { Validator } from '@seriousme/openapi-schema-validator';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openApiText } from '../../src/cli/openapi-text.ts';
import { startTestService, type TestService } from '../support/service.ts';

const run = promisify(execFile);

interface Operation {
  readonly operationId?: string;
  readonly tags?: readonly string[];
  readonly summary?: string;
  readonly security?: readonly object[];
  readonly responses?: Readonly<Record<string, { readonly content?: object }>>;
}

interface Document {
  readonly openapi: string;
  readonly servers: readonly { readonly url: string }[];
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
}

let service: TestService;
let document: Document;
let operations: { name: string; operation: Operation; permission: string }[];

beforeAll(async () => {
  service = await startTestService();
  const answer = await service.http.get('/openapi.json').expect(200);
  document = answer.body as Document;
  const permissions = new Map(
    service.app.routeTable.map(({ method, url, permission }) => [`${method} ${url}`, permission]),
  );
  operations = Object.entries(document.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => {
      const name = `${method.toUpperCase()} /v1${path.replace(/\{(\w+)\}/g, ':$1')}`;
      return { name, operation, permission: permissions.get(name) ?? 'unknown' };
    }),
  );
});
afterAll(() => service.close());

/** What is wrong with an operation, as lines; the list must be empty. */
const faults = (check: (each: (typeof operations)[number]) => string | false | undefined) =>
  operations.flatMap((each) => {
    const fault = check(each);
    return fault ? [`${each.name}: ${fault}`] : [];
  });

describe('the OpenAPI document', () => {
  it('lists exactly the routes below /v1', () => {
    const routes = service.app.routeTable
      .filter(({ url }) => url.startsWith('/v1/'))
      .map(({ method, url }) => `${method} ${url}`);
    expect(document.servers).toEqual([{ url: '/v1' }]);
    expect(operations.map(({ name }) => name).sort()).toEqual([...new Set(routes)].sort());
    expect(routes.length).toBe(new Set(routes).size);
    expect(routes.length).toBeGreaterThan(50);
  });

  it('is valid OpenAPI 3.1', async () => {
    const validator = new Validator();
    const result = await validator.validate(JSON.parse(JSON.stringify(document)));
    expect(result.errors ?? []).toEqual([]);
    expect(result.valid).toBe(true);
    expect(validator.version).toBe('3.1');
  });

  it('would not be valid with an answer left out', async () => {
    const broken = JSON.parse(JSON.stringify(document));
    broken.paths['/sessions'].post.responses = { twohundred: 'fine' };
    expect((await new Validator().validate(broken)).valid).toBe(false);
  });

  it('gives every operation an id of its own, one tag and a summary', () => {
    expect(
      faults(({ operation: { operationId, tags, summary } }) => {
        if (!/^[a-z][A-Za-z0-9]+$/.test(operationId ?? '')) return `operationId ${operationId}`;
        if (tags?.length !== 1) return `tags ${tags}`;
        return !summary && 'no summary';
      }),
    ).toEqual([]);
    const ids = operations.map(({ operation }) => operation.operationId);
    expect(ids.filter((id, index) => ids.indexOf(id) !== index)).toEqual([]);
  });

  it('describes the refusals of every operation as problems', () => {
    expect(
      faults(({ operation: { responses = {} } }) => {
        const problems = ['400', '401', '403', '404', '409', '422', '429', '500', '503'];
        return problems.find((status) => {
          const content = responses[status]?.content as Record<string, { schema?: object }>;
          const { schema } = content?.['application/problem+json'] ?? {};
          return JSON.stringify(schema) !== '{"$ref":"#/components/schemas/Problem"}';
        });
      }),
    ).toEqual([]);
  });

  it('says what a success answers, and who may call', () => {
    expect(
      faults(({ operation, permission }) => {
        const success = Object.keys(operation.responses ?? {}).filter((s) => s.startsWith('2'));
        if (success.length === 0) return 'no success';
        const isOpen = operation.security?.length === 0;
        return isOpen !== (permission === 'public') && `security of ${permission}`;
      }),
    ).toEqual([]);
  });

  it('is the file openapi.json of the repository', async () => {
    const kept = await readFile(new URL('../../openapi.json', import.meta.url), 'utf8');
    expect(JSON.parse(await openApiText())).toEqual(document);
    // In a process of its own: schemas that other tests read here would be named in the document too.
    const command = fileURLToPath(new URL('../../dist/src/cli/openapi.js', import.meta.url));
    const { stdout } = await run(process.execPath, [command, '--print'], { maxBuffer: 2 ** 26 });
    expect(firstDifference(kept, stdout), 'run npm run openapi').toBeNull();
  });
});

/** Where two texts part, in one line: a whole document in a failure could not be read. */
function firstDifference(kept: string, wanted: string): string | null {
  if (kept === wanted) return null;
  const [left, right] = [kept.split('\n'), wanted.split('\n')];
  const at = right.findIndex((line, index) => line !== left[index]);
  return `line ${at + 1}: kept "${left[at]}", wanted "${right[at]}"`;
}
