import { defineConfig } from 'vitest/config';
import { installedPostgres } from './tests/support/installed-postgres.ts';

const api = {
  include: ['tests/api/**/*.test.ts'],
  pool: 'forks' as const,
  // One process serves many files: the service is imported once, each file has its own database.
  isolate: false,
  testTimeout: 60_000,
  hookTimeout: 120_000,
};

const found = installedPostgres();
if (!found) {
  process.stdout.write(
    'PostgreSQL 15 to 17 is not on this machine: the API tests run on their own PostgreSQL 18 alone\n',
  );
}

export default defineConfig({
  test: {
    reporters: ['default', './tests/support/outside-checks-reporter.ts'],
    // One more than two cores: the fault tests mostly wait for processes.
    maxWorkers: 3,
    projects: [
      {
        test: {
          name: 'engine',
          include: ['tests/{engine,properties,published,types,deployment}/**/*.test.ts'],
          pool: 'threads',
          isolate: false,
          // Generated cases on a busy machine; nothing here waits.
          testTimeout: 30_000,
        },
      },
      { test: { name: 'service', globalSetup: ['tests/support/global-setup.ts'], ...api } },
      ...(found
        ? [
            {
              test: {
                name: 'service-installed',
                globalSetup: ['tests/support/global-setup-installed.ts'],
                ...api,
              },
            },
          ]
        : []),
      {
        test: {
          name: 'pages',
          include: ['tests/pages/**/*.test.ts'],
          globalSetup: ['tests/support/pages-setup.ts'],
          pool: 'forks',
          // One browser at a time, after the others: it takes the machine for itself.
          maxWorkers: 1,
          sequence: { groupOrder: 1 },
          testTimeout: 60_000,
          hookTimeout: 120_000,
        },
      },
      {
        test: {
          name: 'faults',
          include: ['tests/faults/**/*.test.ts'],
          pool: 'forks',
          testTimeout: 240_000,
          hookTimeout: 240_000,
        },
      },
    ],
  },
});
