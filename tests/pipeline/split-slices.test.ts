import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { MACHINABLE_CLASSES } from '../../src/core/classes.js';
import { compensatedSum } from '../../src/core/sum.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { readPart } from '../../src/read/read-part.js';
import type { FinishingSurface, Strategy } from '../../src/time/finishing-surface.js';
import { PLACEHOLDER_MACHINE } from '../../src/time/machine.js';
import { passSlices } from '../../src/time/slices.js';
import { sliceLengths } from '../support/slice-lengths.js';
import { splitCurve } from '../../src/time/split-curve.js';
import { readyPart, zonesOf } from '../support/pipeline.js';

const DEG = Math.PI / 180,
  OVERLAP = 3 * DEG,
  FEED_RAD = 0.3;
const STEPS = { kind: 'scallop', heightMm: 0.005 } as const;
const FEEDS = { waterline: 2000, raster: 2200 };
/** Beyond, steps shrink to hundredths of a mm and minutes soar. */
const FROM = 20,
  TO = 70;

// The curve comes from areas; here the passes themselves are cut from the mesh at every degree and measured.
// Facets count as flat, so both see the same surface and only the places of the slices differ.
test.each(['clip-insert', 'soap-dish-cavity'])(
  '%s: the split curve and its minimum are those of slices at 1 degree steps',
  async (name) => {
    const bytes = readFileSync(new URL(`../../models/${name}.stl`, import.meta.url));
    const {
      surface: { mesh, topology },
      labels,
    } = zonesOf(readyPart((await readPart(bytes, { name })).corners));
    const { areas, normals } = facetNormals(mesh);
    const angles = areas.map((_, f) =>
      Math.atan2(Math.sqrt(normals[3 * f] ** 2 + normals[3 * f + 1] ** 2), normals[3 * f + 2]),
    );
    const isMachinable = labels.map((label) => (label < MACHINABLE_CLASSES ? 1 : 0));
    const surface: FinishingSurface = { normals, areas, classOf: labels };
    const { points, fastest } = splitCurve({
      surface,
      mask: isMachinable,
      cornerAngles: Float64Array.from({ length: 3 * areas.length }, (_, h) => angles[Math.floor(h / 3)]),
      steps: STEPS,
      cutter: { DC: 6, RE: 3 },
      rasterFeedRad: FEED_RAD,
      feedMmPerMin: FEEDS,
      overlapRad: OVERLAP,
      machine: { ...PLACEHOLDER_MACHINE, timeFactor: 1 },
    });
    const minutes = (
      strategy: Strategy & { kind: 'waterline' | 'raster' },
      spacingMm: number,
      mask: Uint8Array,
    ): number =>
      compensatedSum(
        sliceLengths(passSlices(mesh, topology, { strategy, spacingMm, offsetMm: spacingMm / 2, mask })),
      ) / FEEDS[strategy.kind];
    const where = (isIn: (angle: number) => boolean): Uint8Array =>
      isMachinable.map((machinable, f) => (machinable && isIn(angles[f]) ? 1 : 0));
    const sliced = points.map(({ angleRad, stepdownMm, stepoverMm }, deg) =>
      deg < FROM || deg > TO
        ? Infinity
        : minutes(
            { kind: 'waterline' },
            stepdownMm,
            where((angle) => angle >= angleRad),
          ) +
          minutes(
            { kind: 'raster', feedRad: FEED_RAD },
            stepoverMm,
            where((angle) => angle <= angleRad + OVERLAP),
          ),
    );
    expect(points).toHaveLength(91);
    for (let deg = FROM; deg <= TO; deg++) {
      expect(
        Math.abs(points[deg].minutes / sliced[deg] - 1),
        `${deg} degrees: slices ${sliced[deg]}`,
      ).toBeLessThan(0.015);
    }
    const least = Math.min(...sliced),
      at = Math.round(fastest.angleRad / DEG);
    expect(at).toBeGreaterThan(FROM);
    expect(at).toBeLessThan(TO);
    // The lowest point of one is the lowest of the other, but for what slices happen to meet: the curves are
    // flat there.
    expect(sliced[at] / least - 1).toBeLessThan(0.005);
    expect(Math.abs(at - sliced.indexOf(least))).toBeLessThanOrEqual(8);
    expect(Math.min(sliced[FROM], sliced[TO]) / least).toBeGreaterThan(1.1);
  },
  600_000,
);
