import fastifySwagger from '@fastify/swagger';
import fastifySwaggerUi from '@fastify/swagger-ui';
import type { FastifyInstance } from 'fastify';
import { jsonSchemaTransform, jsonSchemaTransformObject } from 'fastify-type-provider-zod';

const DESCRIPTION = `Plan, supply, build, check and account for a season of community rainwater tanks,
with every number computed by one design engine. The service checks arithmetic against published
formulas; it does not know your ground, your workmanship or your local law. A licensed engineer
approves designs, and only the health authority can say that water is fit to drink.`;

/** A tank from the side: wall, two bands, dome. */
const MARK = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><path d="M6 12a10 5 0 0 1 20 0v16H6z"
fill="none" stroke="#0b5a46" stroke-width="2"/><path d="M6 19h20M6 24h20" stroke="#0b5a46" stroke-width="3"/></svg>`;

/** The reference loads nothing from outside and is shown in no frame. */
const ownOriginOnly = (policy: string) =>
  `${policy.replaceAll(/\s*upgrade-insecure-requests;?| https:| validator\.swagger\.io/g, '').replace("frame-ancestors 'self'", "frame-ancestors 'none'")}`;

/** OpenAPI 3.1 at /openapi.json, generated from the routes, and a reference to browse at /docs. */
export async function serveOpenApi(app: FastifyInstance, version: string): Promise<void> {
  await app.register(fastifySwagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'hoopwright',
        version,
        description: DESCRIPTION,
        license: { name: 'Apache-2.0', identifier: 'Apache-2.0' },
      },
      servers: [{ url: '/v1' }],
      components: {
        securitySchemes: {
          session: {
            type: 'apiKey',
            in: 'cookie',
            name: 'hoopwright_session',
            description: 'POST /sessions sets it; named __Host-hoopwright_session over HTTPS',
          },
          token: { type: 'http', scheme: 'bearer' },
        },
      },
    },
    transform: withBodyOfEachType,
    transformObject: jsonSchemaTransformObject,
  });
  await app.register(fastifySwaggerUi, {
    routePrefix: '/docs',
    staticCSP: true,
    transformStaticCSP: ownOriginOnly,
    logo: { type: 'image/svg+xml', content: Buffer.from(MARK), href: '/' },
    theme: {
      title: 'hoopwright: reference of the interface',
      css: [{ filename: 'reference.css', content: '.swagger-ui .topbar { display: none; }' }],
      favicon: [
        { filename: 'mark.svg', rel: 'icon', type: 'image/svg+xml', sizes: 'any', content: MARK },
      ],
    },
    uiConfig: { docExpansion: 'list', deepLinking: true },
  });
  app.get('/openapi.json', { schema: { hide: true }, config: { permission: 'public' } }, async () =>
    app.swagger(),
  );
}

type Transform = typeof jsonSchemaTransform;

interface BodyByType {
  readonly content: Readonly<Record<string, { readonly schema: unknown }>>;
}

/** The transform knows one body schema a route; uploads have one for each media type. */
function withBodyOfEachType(document: Parameters<Transform>[0]): ReturnType<Transform> {
  const body = document.schema?.body as BodyByType | undefined;
  if (!body?.content) return jsonSchemaTransform(document);
  const { body: _, ...rest } = document.schema;
  const transformed = jsonSchemaTransform({ ...document, schema: rest });
  const content = Object.entries(body.content).map(([type, { schema }]) => {
    const alone = jsonSchemaTransform({ ...document, schema: { body: schema } });
    return [type, { schema: (alone.schema as { body: unknown }).body }];
  });
  return {
    ...transformed,
    schema: { ...(transformed.schema as object), body: { content: Object.fromEntries(content) } },
  } as ReturnType<Transform>;
}
