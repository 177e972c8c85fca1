import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { PROBLEMS, type ProblemCode } from '../domain/errors.ts';
import { serveWebPages, webFolder } from './web-pages.ts';

const ADVICE: Readonly<Record<ProblemCode, string>> = {
  'invalid-request':
    'Send well-formed JSON (or the file that the route takes) and well-formed headers.',
  unauthenticated: 'Sign in, or send a bearer token that is neither revoked nor expired.',
  'wrong-credentials': 'Try again with the right password; after several failures wait as told.',
  forbidden: 'Ask an administrator of your organisation for the role that this needs.',
  'not-found': 'Check the address. Records of other organisations are never found.',
  conflict: 'Read the record that is there already; choose another code or id.',
  'in-progress': 'Wait as told, then send the same request with the same key.',
  'stale-version': 'Read the record again, apply your change to it, and send the new ETag.',
  'too-large': 'Send less at once; the reference names the limit of each route.',
  'unsupported-media-type': 'Send one of the media types that the reference names for this route.',
  'invalid-content': 'Each entry of errors points at a value and says what is acceptable.',
  'rule-broken': 'The member rule names the rule; the detail says what must happen first.',
  'out-of-range': 'The formula is not valid for this value; errors names the limit.',
  'key-reused': 'Use a new Idempotency-Key for a new request.',
  'precondition-required': 'Send If-Match with the ETag of the version you changed.',
  'too-many-requests': 'Wait as Retry-After says.',
  internal: 'Tell the operator the requestId; nothing was written.',
  unavailable: 'Nothing was written. Try again as Retry-After says.',
  'no-space': 'Nothing was written. The operator must free space.',
};

const html = (title: string, body: string) => `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>${title}</title><link rel="stylesheet" href="/plain.css"></head>
<body><main>${body}</main></body></html>`;

const STYLE = `body{font:1rem/1.5 system-ui,sans-serif;margin:0;color:#1c2a22;background:#f6f4ee}
main{max-width:40rem;margin:3rem auto;padding:0 1rem}h1{line-height:1.2}a{color:#0b5a46}
.caution{border-left:.3rem solid #8a5a00;padding:.2rem 1rem;background:#fff8e6}code{background:#e9e5d8;padding:0 .2em}`;

/**
 * Plain pages without script: what the service is and one page a problem code. What it is stands at
 * the front too when the pages with script have not been built.
 */
export function servePages(app: FastifyInstance, { demoLoaded }: { demoLoaded: boolean }): void {
  const open = { schema: { hide: true }, config: { permission: 'public' as const } };
  const sendHtml = (reply: FastifyReply, text: string) =>
    reply.header('content-type', 'text/html; charset=utf-8').send(text);

  app.get('/plain.css', open, async (_request, reply) =>
    reply.header('content-type', 'text/css; charset=utf-8').send(STYLE),
  );
  const about = async (_request: FastifyRequest, reply: FastifyReply) =>
    sendHtml(reply, html('hoopwright', aboutPage(demoLoaded)));
  app.get('/about', open, about);
  const folder = webFolder();
  if (folder) serveWebPages(app, folder);
  else app.get('/', open, about);
  app.get('/problems', open, async (_request, reply) => {
    const items = Object.entries(PROBLEMS).map(
      ([code, [status, title]]) =>
        `<li><a href="/problems/${code}">${code}</a>: ${title} (${status})</li>`,
    );
    return sendHtml(reply, html('Problems', `<h1>Problems</h1><ul>${items.join('')}</ul>`));
  });
  for (const [code, [status, title]] of Object.entries(PROBLEMS)) {
    const advice = ADVICE[code as ProblemCode];
    app.get(`/problems/${code}`, open, async (_request, reply) =>
      sendHtml(
        reply,
        html(title, `<h1>${title}</h1><p>HTTP ${status}, <code>${code}</code></p><p>${advice}</p>`),
      ),
    );
  }
}

const aboutPage = (demoLoaded: boolean) => `<h1>hoopwright</h1>
<p>Plan, supply, build, check and account for a season of community rainwater tanks, with every number
computed by one design engine.</p>
${
  demoLoaded
    ? '<p>This service shows a demonstration season. Its district, villages, people, donors, suppliers and prices are <strong>invented</strong>.</p>'
    : ''
}
<ul><li><a href="/">Pages of the service</a></li><li><a href="/docs">Reference of the interface</a></li><li><a href="/openapi.json">OpenAPI document</a></li>
<li><a href="/problems">Problems and what to do about them</a></li></ul>
<p class="caution">The service checks arithmetic against published formulas. It does not know your ground, your
workmanship or your local law. A licensed engineer approves designs; only the health authority can say that
water is fit to drink.</p>`;
