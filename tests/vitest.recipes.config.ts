import { defineConfig } from 'vitest/config';

// The accuracy aimed at, over ranges of sizes: run by `npm run recipes`.
export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    include: ['tests/verify/{recipes,slots-and-bores}.test.ts'],
    testTimeout: 600_000,
  },
});
