import { defineConfig } from 'vitest/config';

const BROWSER = ['tests/page/{page,pictures,rough,view}.test.ts', 'tests/examples/embed-page.test.ts'];

// Checks of the accuracy aimed at, run by `npm run recipes`; see DEVELOPERS.md.
const RECIPES = ['tests/verify/{recipes,slots-and-bores}.test.ts'];

/** What all configurations share. */
export const SHARED = {
  root: new URL('..', import.meta.url).pathname,
  // A test that expects nothing, since a list was empty or a branch not taken, fails.
  expect: { requireAssertions: true },
  // Files of one process share what they import: quick tests take a third of the time.
  isolate: false,
  testTimeout: 600_000,
  hookTimeout: 600_000,
} as const;

export default defineConfig({
  test: {
    ...SHARED,
    projects: [
      {
        test: {
          ...SHARED,
          name: 'node',
          include: ['tests/**/*.test.ts'],
          exclude: [...BROWSER, ...RECIPES],
          maxWorkers: 2,
          sequence: { groupOrder: 0 },
        },
      },
      // A browser draws in software and takes all cores itself.
      { test: { ...SHARED, name: 'browser', include: BROWSER, maxWorkers: 1, sequence: { groupOrder: 1 } } },
    ],
  },
});
