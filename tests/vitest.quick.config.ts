import { defineConfig } from 'vitest/config';
import { SHARED } from './vitest.config.js';

// What can be known in a minute: no browser, no child process, no survey of a whole part.
export default defineConfig({
  test: {
    ...SHARED,
    include: ['tests/**/*.test.ts'],
    exclude: [
      'tests/{pipeline,examples,verify}/**',
      'tests/cli/{bin,formats}.test.ts',
      'tests/{node/mesh-step,read/formats}.test.ts',
      'tests/page/{charts,check-view,folded-lists,page,pictures,rough,screens,view}.test.ts',
      'tests/{models,survey/{fix-part,region-stickouts},outlines/trace-rings}.test.ts',
      'tests/reach/{ball-reach,corner-gaps,cutter-contact,cutter-gap}.test.ts',
      'tests/reach/{open-by-grid,pooled-engine,reach-cells,rest-volume,tight-patches}.test.ts',
    ],
    testTimeout: 60_000,
  },
});
