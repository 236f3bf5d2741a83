import { expect, test } from 'vitest';
import { reachOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { PI, abs, cos } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;

// A fillet takes balls up to its own radius.
test.each(
  [
    [90, 3, 1],
    [60, 4, 1.5],
    [120, 3, 2],
  ].flatMap((values) => [6, 12, 48].map((facets) => [...values, facets])),
)(
  'turning %d, ball %d: the reach radius of a fillet of %d is its own, %d facets',
  async (turningDeg, radius, fillet, facets) => {
    const t = 0.005;
    const corners = shapes.turned(
      shapes.vGroove({ turningDeg, arm: 10, length: 8, fillet, filletFacets: facets }),
      31.9,
    );
    const { tight } = await reachOf(corners, [radius], t);
    const [patch] = await tight();
    // A ball larger by e misses the middle of the fillet by e (1 / cos(phi / 2) - 1); the tolerance and the
    // facets' own sagitta let it.
    const sagitta = fillet * (1 - cos(rad(turningDeg) / (2 * facets)));
    const slip = (t * 1.01 + sagitta) / (1 / cos(rad(turningDeg / 2)) - 1);
    // 0.01 mm + 1 % is what the radius may be off; the search itself stops at 0.004 mm + 0.4 % of it.
    expect(abs(patch.reachRadiusMm - fillet)).toBeLessThanOrEqual(0.014 + 0.014 * fillet + slip);
  },
);
