import { existsSync, readdirSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { extname, join } from 'node:path';
import type { FastifyInstance, FastifyReply } from 'fastify';
import { DomainError } from '../domain/errors.ts';

const TYPES: Readonly<Record<string, string>> = {
  '.css': 'text/css; charset=utf-8',
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.png': 'image/png',
  '.svg': 'image/svg+xml',
  '.webmanifest': 'application/manifest+json',
  '.woff2': 'font/woff2',
};

/** Scripts, styles and requests of our own address only; nothing inline, nothing from elsewhere. */
const POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self' data: blob:",
  "connect-src 'self'",
  "manifest-src 'self'",
  "worker-src 'self'",
  "form-action 'none'",
  "base-uri 'none'",
  "frame-ancestors 'none'",
].join(';');

/** First parts of the addresses that the office's pages answer in the browser. */
const OFFICE_PATHS = [
  'sign-in',
  'season',
  'villages',
  'sites',
  'designs',
  'builds',
  'calendar',
  'inspections',
  'materials',
  'money',
  'reports',
  'people',
  'settings',
];

/** Where the build puts the pages, seen from the sources and from the compiled service. */
const FOLDERS = [
  join(import.meta.dirname, '..', '..', 'web'),
  join(import.meta.dirname, '..', '..', 'dist', 'web'),
];

/** The folder of the built pages; undefined when they have not been built. */
export const webFolder = (): string | undefined =>
  FOLDERS.find((folder) => existsSync(join(folder, 'index.html')));

const YEAR_S = 365 * 24 * 60 * 60;

/**
 * Serves the built pages: their documents at the addresses that people see, and their parts. The
 * names of the parts hold a hash of what is in them, so that browsers may keep them for ever.
 */
export function serveWebPages(app: FastifyInstance, folder: string): void {
  const open = { schema: { hide: true }, config: { permission: 'public' as const } };
  const send = async (reply: FastifyReply, path: string, caching: string) => {
    const bytes = await readFile(join(folder, path)).catch((cause: unknown) => {
      throw new DomainError('not-found', { cause });
    });
    return reply
      .header('content-type', TYPES[extname(path)] ?? 'application/octet-stream')
      .header('content-security-policy', POLICY)
      .header('cache-control', caching)
      .send(bytes);
  };
  const document = (name: string, paths: readonly string[]) => {
    for (const path of paths) {
      app.get(path, open, async (_request, reply) => send(reply, name, 'no-cache'));
    }
  };
  document('index.html', ['/', ...OFFICE_PATHS.flatMap((path) => [`/${path}`, `/${path}/*`])]);
  document('field.html', ['/field', '/field/*']);
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const isPart = entry.isFile() && extname(entry.name) in TYPES && !entry.name.endsWith('.html');
    if (isPart) document(entry.name, [`/${entry.name}`]);
  }
  app.get<{ Params: { name: string } }>('/assets/:name', open, async (request, reply) => {
    const { name } = request.params;
    if (!/^\w[\w.-]*$/.test(name)) throw new DomainError('not-found');
    return send(reply, join('assets', name), `public, max-age=${YEAR_S}, immutable`);
  });
}
