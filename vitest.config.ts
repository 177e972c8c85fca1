import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    reporters: ['default'],
    projects: [
      {
        test: {
          name: 'engine',
          include: ['tests/{engine,properties,published,types,deployment}/**/*.test.ts'],
          pool: 'threads',
          isolate: false,
        },
      },
      {
        test: {
          name: 'service',
          include: ['tests/api/**/*.test.ts'],
          globalSetup: ['tests/support/global-setup.ts'],
          pool: 'forks',
          testTimeout: 60_000,
          hookTimeout: 120_000,
        },
      },
      {
        test: {
          name: 'faults',
          include: ['tests/faults/**/*.test.ts'],
          pool: 'forks',
          fileParallelism: false,
          testTimeout: 240_000,
          hookTimeout: 240_000,
        },
      },
    ],
  },
});
