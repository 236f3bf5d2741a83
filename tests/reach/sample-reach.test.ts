import { expect, test } from 'vitest';
import { reachOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const RADII = [0.5, 1, 3];
const T = 0.02;

/** Strips R - √(2 R t + t²) wide on floor and wall, per mm of corner. */
const strips = (radius: number): number => 2 * (radius - Math.sqrt(2 * radius * T + T * T));

test.each([23.7, -48])(
  'beside a straight corner, turned %d°: what is asked grows less than its length',
  async (deg) => {
    const asked: number[] = [],
      facets: number[] = [];
    for (const length of [40, 400]) {
      const corners = shapes.turned(shapes.dihedral({ turningDeg: 90, arm: 14, length }), deg);
      const { unreachedMm2, reach } = await reachOf(corners, RADII, T);
      unreachedMm2.forEach((area, i) => {
        expect(Math.abs(area / (length * strips(RADII[i])) - 1), `R ${RADII[i]}, ${area} mm²`).toBeLessThan(
          0.02,
        );
      });
      asked.push(reach.queried);
      facets.push(reach.labels.length);
    }
    // Pieces may be so many times as long as in the open, no more: growth is less than with the length.
    expect(asked[1]).toBeLessThan(5 * asked[0]);
    expect(facets[1]).toBeLessThan(5.5 * facets[0]);
  },
);
