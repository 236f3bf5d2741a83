import { defineConfig } from 'vitest/config';

// The accuracy aimed at, over whole ranges of sizes: run by `npm run recipes`. `npm test` takes a choice of them.
export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/verify/{recipes,slots-and-bores}.test.ts'],
    env: { RECIPES: 'all' },
    testTimeout: 600_000,
  },
});
