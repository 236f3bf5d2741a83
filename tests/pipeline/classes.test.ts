import { describe, expect, test } from 'vitest';
import { compensatedSum } from '../../src/core/sum.js';
import { classAreas, readyPart, surfaceAreaWhere, zonesOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { PI, cos, tan } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;

/** Allowed error by steps round the circle: 256 as fine, 24 (15 degree facets) as coarse. */
const FINENESS = [
  [256, 0.005],
  [24, 0.04],
] as const;
const SPLITS = [30, 45, 60] as const;
const CASES = FINENESS.flatMap(([segments, share]) =>
  SPLITS.map((splitDeg) => ({ segments, share, splitDeg })),
);

/** Areas of the four machinable classes as a list: level, shallow, overlap, steep. */
function machinable(corners: Float64Array, splitDeg: number): number[] {
  const { level, shallow, overlap, steep } = classAreas(zonesOf(readyPart(corners), { splitDeg }));
  return [level, shallow, overlap, steep];
}

/** Compares class areas; a class too small to carry a relative error is compared with the whole. */
function expectAreas(found: readonly number[], expected: readonly number[], share: number): void {
  const total = compensatedSum(expected);
  found.forEach((area, i) => {
    expect(Math.abs(area - expected[i]), `class ${i}: ${area}, expected ${expected[i]}`).toBeLessThanOrEqual(
      share * Math.max(expected[i], 0.02 * total),
    );
  });
}

// Borders of the classes in wall angle, degrees: 0, 0.5, split, split + 3, 90.
const borders = (splitDeg: number): number[] => [0, 0.5, splitDeg, splitDeg + 3, 90];
const bands = (splitDeg: number, between: (t1: number, t2: number) => number): number[] => {
  const all = borders(splitDeg).map(rad);
  return all.slice(1).map((t2, i) => between(all[i], t2));
};

describe('class areas of analytic solids', () => {
  // Archimedes' hat-box theorem: A = 2 pi R² (cos t1 - cos t2). Values for R 10: 0-30 84.1787, 30-45 99.8515,
  // 45-90 444.288.
  test.each(CASES)(
    'hemisphere R10, $segments segments, split $splitDeg: within $share',
    ({ segments, share, splitDeg }) => {
      const expected = bands(splitDeg, (t1, t2) => 2 * PI * 100 * (cos(t1) - cos(t2)));
      expectAreas(machinable(shapes.hemisphere(10, segments), splitDeg), expected, share);
    },
  );

  test('the closed form of the hemisphere is the printed one', () => {
    const zone = (t1: number, t2: number): number => 2 * PI * 100 * (cos(rad(t1)) - cos(rad(t2)));
    expect(zone(0, 30)).toBeCloseTo(84.1787, 4);
    expect(zone(45, 90)).toBeCloseTo(444.288, 3);
  });

  // Both flanks of a cylinder lying level: A = 2 R L (t2 - t1); R10 L50: 0-30 523.599, 45-90 785.398.
  test.each(CASES)(
    'lying cylinder R10 L50, $segments segments, split $splitDeg',
    ({ segments, share, splitDeg }) => {
      const part = readyPart(shapes.turned(shapes.lyingCylinder(10, 50, segments), 37.3));
      const zoned = zonesOf(part, { splitDeg, includeOutside: true });
      // The discs at the ends stand upright and count as steep; only the round surface is compared.
      const areas = classAreas(zoned);
      const discs = segments * 50 * Math.sin((2 * PI) / segments) * 2;
      const below = 2 * 10 * 50 * rad(0.5);
      const expected = bands(splitDeg, (t1, t2) => 2 * 10 * 50 * (t2 - t1));
      expectAreas([areas.level, areas.shallow, areas.overlap, areas.steep - discs - below], expected, share);
    },
  );

  test('lying cylinder R8 L30, 128 steps: the band from 40 to 50 degrees has the printed area 83.7758', () => {
    const zoned = zonesOf(readyPart(shapes.turned(shapes.lyingCylinder(8, 30, 128), 11.1)), {
      splitDeg: 40,
      overlapDeg: 10,
    });
    expect(Math.abs(classAreas(zoned).overlap / 83.7758 - 1)).toBeLessThan(0.005);
  });

  // 60 x 60 plate, round pocket, floor radius 17, fillet 3, wall radius 20 and 12 high above it: plane
  // geometry for floor, top and wall, Pappus and Guldin for the fillet. Up to 45 degrees 3519.521, beyond
  // 1799.625, in all 5319.146.
  test('composite round pocket, 128 steps: the printed areas below and above 45 degrees', () => {
    const [level, shallow, overlap, steep] = machinable(
      shapes.roundPocket({ segments: 128, filletFacets: 32 }),
      45,
    );
    expect(Math.abs((level + shallow) / 3519.521 - 1)).toBeLessThan(0.005);
    expect(Math.abs((overlap + steep) / 1799.625 - 1)).toBeLessThan(0.005);
    expect(Math.abs((level + shallow + overlap + steep) / 5319.146 - 1)).toBeLessThan(0.001);
  });

  // Pappus and Guldin: A = 2 pi r (Rm (t2 - t1) + r (cos t1 - cos t2)); Rm 17, r 3: 0-45 268.238, 45-90
  // 291.661.
  test.each(CASES)(
    'fillet of a round pocket, $segments segments, split $splitDeg',
    ({ segments, share, splitDeg }) => {
      const corners = shapes.roundPocket({ segments, filletFacets: Math.round(segments / 4) });
      const found = machinable(corners, splitDeg);
      const expected = bands(splitDeg, (t1, t2) => 2 * PI * 3 * (17 * (t2 - t1) + 3 * (cos(t1) - cos(t2))));
      expected[0] += PI * 17 * 17 + (3600 - PI * 400);
      expected[3] += 2 * PI * 20 * 12;
      expectAreas(found, expected, share);
    },
  );

  test('the closed form of the pocket is the printed one', () => {
    const band = (t1: number, t2: number): number =>
      2 * PI * 3 * (17 * rad(t2 - t1) + 3 * (cos(rad(t1)) - cos(rad(t2))));
    expect(band(0, 45)).toBeCloseTo(268.238, 3);
    expect(band(45, 90)).toBeCloseTo(291.661, 3);
  });

  // The same with the tube outside the wall: A = 2 pi r (Rm (t2 - t1) - r (cos t1 - cos t2)).
  test.each(CASES)(
    'fillet at a round boss, $segments segments, split $splitDeg',
    ({ segments, share, splitDeg }) => {
      const corners = shapes.filletedBoss({ segments, filletFacets: Math.round(segments / 4) });
      const expected = bands(splitDeg, (t1, t2) => 2 * PI * 3 * (17 * (t2 - t1) - 3 * (cos(t1) - cos(t2))));
      expected[0] += 3600 - PI * 17 * 17 + PI * 14 * 14;
      expected[3] += 2 * PI * 14 * 12;
      expectAreas(machinable(corners, splitDeg), expected, share);
    },
  );

  // Cone: A = pi r² / cos t at one wall angle. r15, 60 degrees: 1413.717; the top of a frustum is level.
  test.each(FINENESS)('cone of 60 degrees and frustum of 63.4349 degrees, %i segments', (segments, share) => {
    const cone = classAreas(zonesOf(readyPart(shapes.frustum(15, 0, 15 * tan(rad(60)), segments))));
    expect(Math.abs(cone.steep / 1413.717 - 1)).toBeLessThan(share);
    expect(cone.shallow + cone.overlap + cone.level).toBeLessThan(1e-6);
    const frustum = classAreas(zonesOf(readyPart(shapes.frustum(20, 15, 10, segments))));
    expect(Math.abs(frustum.steep / 1229.343 - 1)).toBeLessThan(share);
    expect(Math.abs(frustum.level / (PI * 225) - 1)).toBeLessThan(share);
  });

  test('the error falls with refinement: hemisphere, split 45', () => {
    const exact = 2 * PI * 100 * (1 - cos(rad(45)));
    const errors = [16, 32, 64, 128].map((segments) => {
      const [level, shallow] = machinable(shapes.hemisphere(10, segments), 45);
      return Math.abs((level + shallow) / exact - 1);
    });
    errors.slice(1).forEach((error, i) => expect(error).toBeLessThan(errors[i] / 2));
  });
});

describe('planes are exact', () => {
  // Each ramp has the area slope * depth, whatever its angle: plane geometry.
  const expectRamps = (splitDeg: number): void => {
    const part = readyPart(shapes.turned(shapes.multiRamp(), 21.7));
    const areas = classAreas(zonesOf(part, { splitDeg, overlapDeg: 3, includeOutside: true }));
    const { slope, gap, depth } = shapes.RAMP;
    const count = (from: number, to: number): number =>
      shapes.RAMP_ANGLES_DEG.filter((a) => a >= from && a <= to).length;
    const close = (found: number, expected: number): void => {
      expect(Math.abs(found - expected)).toBeLessThanOrEqual(1e-9 * Math.max(expected, slope * depth));
    };
    close(areas.level, 7 * gap * depth);
    close(areas.shallow, count(0, splitDeg - 1e-9) * slope * depth);
    close(areas.overlap, count(splitDeg, splitDeg + 3) * slope * depth);
  };

  test.each([15, 20, 36, 37, 45, 50, 52, 60, 70])(
    'ramps of 10, 20, 36.5, 37.9, 52 and 70 degrees, split %d',
    expectRamps,
  );

  // A border includes its own angle: overlap begins at the split and ends at split + overlap.
  test.each([
    [36.5, 36.5, 'overlap'],
    [36.5, 33.5, 'overlap'],
    [36.5, 36.6, 'shallow'],
    [36.5, 33.4, 'steep'],
  ] as const)('a ramp of %d degrees with a split of %d counts as %s', (angle, splitDeg, cls) => {
    const zoned = zonesOf(readyPart(shapes.rampBlock(angle)), { splitDeg });
    expect(Math.abs(classAreas(zoned)[cls] / ((30 * 20) / cos(rad(angle))) - 1)).toBeLessThan(1e-9);
  });
});

describe('the classes partition the surface', () => {
  const solids: Record<string, () => Float64Array> = {
    'T-slot': () => shapes.tSlot({ neck: 6, lip: 5, width: 20, depth: 12, length: 40 }),
    'round pocket': () => shapes.roundPocket({ segments: 24, filletFacets: 6 }),
    ball: () => shapes.icosphere(10, 2),
    'box pocket': () => shapes.boxPocket({ width: 30, length: 20, depth: 10 }),
    'drafted corner': () => shapes.threePlaneCorner(3),
    bore: () => shapes.bore(5, 12, 32, true),
  };
  test.each(Object.keys(solids))('%s: areas add up to the mesh area within 1e-9', (name) => {
    const corners = shapes.turned(solids[name](), 12.9);
    const areas = Object.values(classAreas(zonesOf(readyPart(corners))));
    expect(Math.abs(compensatedSum(areas) / shapes.measureSoup(corners).area - 1)).toBeLessThan(1e-9);
  });

  // A ball has as much below its equator as above; what leans beyond 90.5 degrees is undercut.
  test('the lower half of a ball is undercut: 2 pi R² sin(89.5 degrees)', () => {
    const zoned = zonesOf(readyPart(shapes.icosphere(10, 5)));
    const { undercut, underside } = classAreas(zoned);
    expect(Math.abs(undercut / (2 * PI * 100 * cos(rad(90.5)) + 2 * PI * 100) - 1)).toBeLessThan(0.005);
    expect(underside).toBeLessThan(0.1);
  });

  test('outside: the four sides of a block, exactly; a through bore is not outside', () => {
    const { outside, steep } = classAreas(
      zonesOf(readyPart(shapes.turned(shapes.bore(5, 12, 48, true), 8.3))),
    );
    expect(Math.abs(outside / (4 * 40 * 12) - 1)).toBeLessThan(1e-9);
    expect(Math.abs(steep / (2 * 48 * 5 * Math.sin(PI / 48) * 12) - 1)).toBeLessThan(1e-9);
  });

  test('includeOutside: the same sides count as steep', () => {
    const areas = classAreas(zonesOf(readyPart(shapes.box(30, 20, 10)), { includeOutside: true }));
    expect(areas.steep).toBeCloseTo(1000, 9);
    expect(areas.outside).toBe(0);
  });

  test('underside: the face that the part stands on', () => {
    const zoned = zonesOf(readyPart(shapes.tSlot({ neck: 6, lip: 5, width: 20, depth: 12, length: 40 })));
    expect(classAreas(zoned).underside).toBeCloseTo(40 * 40, 8);
    // The lips' lower faces lean over but are not the lowest level.
    expect(classAreas(zoned).undercut).toBeCloseTo(2 * 7 * 40, 8);
    expect(surfaceAreaWhere(zoned, (_x, _y, z) => z < -21.9)).toBeCloseTo(1600, 8);
  });
});
