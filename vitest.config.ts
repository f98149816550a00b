import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    // Left to itself, Vitest keeps one processor free: on two that halves the speed.
    maxWorkers: availableParallelism(),
    projects: [
      {
        test: {
          name: 'unit',
          include: ['libs/*/src/**/*.test.ts', 'apps/*/src/**/*.test.ts', 'demo/**/*.test.ts'],
          testTimeout: 30_000,
        },
      },
      {
        test: { name: 'reference', include: ['tests/reference/**/*.test.ts'], testTimeout: 60_000 },
      },
      { test: { name: 'architecture', include: ['tests/architecture/**/*.test.ts'] } },
      {
        test: {
          name: 'server',
          include: ['tests/{api,migrations,faults}/**/*.test.ts'],
          setupFiles: ['tests/support/reflect.ts'],
          // Each file starts servers and databases of its own; loading the server's modules anew for each took longer than its tests.
          isolate: false,
          testTimeout: 60_000,
          hookTimeout: 120_000,
        },
      },
      {
        test: {
          name: 'browser',
          include: ['tests/browser/**/*.test.ts'],
          testTimeout: 120_000,
          hookTimeout: 180_000,
          fileParallelism: false,
        },
      },
    ],
  },
});
