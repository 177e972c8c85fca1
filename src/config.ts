import { resolve } from 'node:path';
import { z } from 'zod';

const port = z.coerce.number().int().min(0).max(65_535);

const environment = z.object({
  HOST: z.string().default('127.0.0.1'),
  PORT: port.default(3000),
  DATA_DIR: z.string().default('.data'),
  DATABASE_URL: z.url({ protocol: /^postgres(ql)?$/ }).optional(),
  DATABASE_OWNER_URL: z.url({ protocol: /^postgres(ql)?$/ }).optional(),
  DATABASE_POOL_SIZE: z.coerce.number().int().min(1).max(200).default(10),
  DEMO: z.enum(['0', '1']).default('1'),
  DEMO_PASSWORD: z.string().min(8).optional(),
  METRICS_PORT: port.default(9464),
  LOG_LEVEL: z.enum(['silent', 'fatal', 'error', 'warn', 'info', 'debug', 'trace']).default('info'),
  RATE_LIMIT: z.enum(['0', '1']).default('1'),
  SECURE_COOKIES: z.enum(['0', '1']).optional(),
  TRUST_PROXY: z.string().optional(),
  WORKER: z.enum(['inside', 'apart']).default('inside'),
});

export interface Config {
  readonly host: string;
  readonly port: number;
  readonly dataDir: string;
  /** Undefined: the embedded PostgreSQL. */
  readonly databaseUrl: string | undefined;
  /** Role that migrates; the same as `databaseUrl` when not given. */
  readonly databaseOwnerUrl: string | undefined;
  readonly databasePoolSize: number;
  readonly loadsDemo: boolean;
  readonly demoPassword: string | undefined;
  readonly metricsPort: number;
  readonly logLevel: string;
  readonly limitsRates: boolean;
  readonly securesCookies: boolean;
  readonly trustProxy: string | undefined;
  readonly runsWorker: boolean;
}

export class ConfigError extends Error {}

/** Reads the environment once. Throws `ConfigError` with one line a wrong variable. */
export function readConfig(env: NodeJS.ProcessEnv): Config {
  const parsed = environment.safeParse(withoutEmpty(env));
  if (!parsed.success) {
    const lines = parsed.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`);
    throw new ConfigError(`The environment is not right:\n${lines.join('\n')}`);
  }
  const values = parsed.data;
  return {
    host: values.HOST,
    port: values.PORT,
    dataDir: resolve(values.DATA_DIR),
    databaseUrl: values.DATABASE_URL,
    databaseOwnerUrl: values.DATABASE_OWNER_URL ?? values.DATABASE_URL,
    databasePoolSize: values.DATABASE_POOL_SIZE,
    loadsDemo: values.DEMO === '1',
    demoPassword: values.DEMO_PASSWORD,
    metricsPort: values.METRICS_PORT,
    logLevel: values.LOG_LEVEL,
    limitsRates: values.RATE_LIMIT === '1',
    securesCookies: values.SECURE_COOKIES
      ? values.SECURE_COOKIES === '1'
      : !isLoopback(values.HOST),
    trustProxy: values.TRUST_PROXY,
    runsWorker: values.WORKER === 'inside',
  };
}

const withoutEmpty = (env: NodeJS.ProcessEnv) =>
  Object.fromEntries(Object.entries(env).filter(([, value]) => value !== ''));

const isLoopback = (host: string) =>
  host === 'localhost' || host === '::1' || host.startsWith('127.');
