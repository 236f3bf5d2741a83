import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/**/*.test.ts'],
    // Checks of the accuracy aimed at, run by `npm run recipes`; see DEVELOPERS.md.
    exclude: ['tests/verify/{recipes,slots-and-bores}.test.ts'],
    // A test that expects nothing, since a list was empty or a branch not taken, fails.
    expect: { requireAssertions: true },
    // Files of one process share what they import: quick tests take a third of the time.
    isolate: false,
    testTimeout: 600_000,
    hookTimeout: 600_000,
  },
});
