import { defineConfig, mergeConfig } from 'vitest/config';
import all from './vitest.config.js';

// What can be known in a minute: no browser, no child process, no survey of a whole part.
export default mergeConfig(
  all,
  defineConfig({
    test: {
      exclude: [
        'tests/pipeline/**',
        'tests/examples/**',
        'tests/cli/bin.test.ts',
        'tests/page/{page,pictures,rough,view}.test.ts',
        'tests/reach/{ball-reach,cutter-gap,pooled-engine,reach-cells,rest-volume}.test.ts',
      ],
      testTimeout: 60_000,
    },
  }),
);
