import { expect, test } from 'vitest';
import { resolveSetup } from '../../src/resolve-setup.js';
import { moveMinutes } from '../../src/survey/ladder-times.js';
import { followingOverhead, type PassPlan } from '../../src/time/pass-time.js';

// A ring is worth a move from a square 20 times as wide as the least width on, which is a share of DC (0.005: common
// practice, no source): for 8 mm and that share (20 * 0.04)² = 0.64 mm².
test.each([
  [undefined, 0.64],
  [0.01, 2.56],
  [0, 0],
])(
  'a piece of rest takes a move through the air if its outline is worth one: share %s, from %d mm²',
  (share, least) => {
    const setup = resolveSetup(share === undefined ? {} : { leastRingShare: share });
    const cutter = setup.cutters.find(({ id }) => id === 'ball-8');
    if (!cutter) throw new Error('the default catalogue has no ball-8');
    const plan: PassPlan = {
      strategy: { kind: 'following' },
      spacingMm: 0.3,
      cutter,
      feedMmPerMin: 1500,
      machine: setup.machine,
    };
    for (const area of [0.5 * least, 0.99 * least, 1.01 * least + 1e-6, 10 * least + 1]) {
      const minutes = moveMinutes(area, plan, cutter, setup);
      expect(minutes).toBe(area < least ? 0 : followingOverhead(area, plan));
      if (area > least) expect(minutes).toBeGreaterThan(0);
    }
  },
);
