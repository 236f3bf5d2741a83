import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

const BROWSER = [
  'tests/page/{charts,check-view,folded-lists,page,pictures,rough,screens,view}.test.ts',
  'tests/examples/embed-page.test.ts',
];

/** Longest first, so that none is left over at the end; those with a browser together, since they share what starts it. */
const LONGEST = [
  'page/page',
  'page/screens',
  'page/rough',
  'page/view',
  'page/pictures',
  'examples/embed-page',
  'reach/cutter-gap',
  'pipeline/floors-and-walls',
  'pipeline/no-ball',
  'cli/interrupted',
  'pipeline/survey-again',
  'pipeline/damage',
  'stages/clear-stock',
  'cli/bin',
  'pipeline/stages',
  'pipeline/variants',
  'pipeline/reach',
  'pipeline/outputs',
  'pipeline/time',
  'verify/recipes',
  'pipeline/noise',
  'pipeline/too-deep',
  'survey/ways-up',
  'pipeline/rest-work',
  'reach/ball-reach',
  'verify/coarse-rounds',
  'pipeline/chord-spread',
];

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification): number => {
      const found = LONGEST.findIndex((name) => moduleId.endsWith(`/tests/${name}.test.ts`));
      return found < 0 ? LONGEST.length : found;
    };
    return files.toSorted((one, other) => place(one) - place(other));
  }
}

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

// Both projects take from one queue: a browser waits now and then, and two files at a time leave no core idle.
const PROJECT = { ...SHARED, maxWorkers: 2 };

export default defineConfig({
  test: {
    ...SHARED,
    sequence: { sequencer: LongestFirst },
    projects: [
      { test: { ...PROJECT, name: 'node', include: ['tests/**/*.test.ts'], exclude: BROWSER } },
      { test: { ...PROJECT, name: 'browser', include: BROWSER } },
    ],
  },
});
