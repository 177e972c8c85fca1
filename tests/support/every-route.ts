import type { FastifyInstance } from 'fastify';
import { type Schema, sampleValue } from './sample-value.ts';

interface Parameter {
  readonly name: string;
  readonly in: string;
  readonly required?: boolean;
  readonly schema?: Schema;
}

interface Operation {
  readonly parameters?: readonly Parameter[];
  readonly requestBody?: {
    readonly content: Readonly<Record<string, { readonly schema?: Schema }>>;
  };
}

export interface EveryRoute {
  readonly name: string;
  readonly method: 'get' | 'post' | 'patch' | 'put' | 'delete';
  readonly permission: string;
  /** True when the address names a record. */
  readonly hasId: boolean;
  /** The address with this id wherever an id stands, also in a query that it cannot do without. */
  address(id: string): string;
  /** The address with this id in the query too, wherever the route takes one there; null where it takes none. */
  addressWithQuery(id: string): string | null;
  /** Bodies to send, by media type: none, or the least and the most that the route takes. */
  bodies(id: string): { readonly type: string; readonly content: string }[];
}

/** Every route below /v1 that the app has, whichever they are, with what it takes. */
export function everyRoute(app: FastifyInstance): EveryRoute[] {
  const document = app.swagger() as unknown as {
    paths: Record<string, Record<string, Operation>>;
    components: { schemas: Record<string, Schema> };
  };
  const components = document.components.schemas;
  return app.routeTable
    .filter(({ url }) => url.startsWith('/v1/'))
    .map(({ method, url, permission }) => {
      const path = url.slice('/v1'.length).replace(/:(\w+)/g, '{$1}');
      const operation = document.paths[path]?.[method.toLowerCase()];
      if (!operation) throw new Error(`${method} ${url} is not in the OpenAPI document`);
      const asked = (operation.parameters ?? []).filter(
        (parameter) => parameter.in === 'query' && parameter.schema?.format === 'uuid',
      );
      const hasId = [...url.matchAll(/:(\w+)/g)].some(([, name]) => isId(name ?? ''));
      const bare = (id: string) =>
        url.replace(/:(\w+)/g, (_, name: string) => (isId(name) ? id : 'made-up'));
      const withQuery = (id: string, those: readonly Parameter[]) =>
        those.length === 0
          ? bare(id)
          : `${bare(id)}?${those.map(({ name }) => `${name}=${id}`).join('&')}`;
      return {
        name: `${method} ${url}`,
        method: method.toLowerCase() as EveryRoute['method'],
        permission,
        hasId,
        address: (id) => withQuery(id, hasId ? asked.filter(({ required }) => required) : []),
        addressWithQuery: (id) => (asked.length === 0 ? null : withQuery(id, asked)),
        bodies: (id) =>
          Object.entries(operation.requestBody?.content ?? {}).flatMap(([type, { schema = {} }]) =>
            type === 'application/json'
              ? [false, true].map((isFull) => ({
                  type,
                  content: JSON.stringify(sampleValue(schema, { components, id, isFull })),
                }))
              : [{ type, content: 'made up' }],
          ),
      };
    });
}

const isId = (name: string) => /^id$|Id$/.test(name);
