import { describe, expect, test } from 'vitest';
import {
  ballProfile,
  bullNoseProfile,
  flatProfile,
  type CutterProfile,
} from '../../src/cutter/cutter-profile.js';
import { cylinderAbout } from '../../src/stages/block.js';
import { clearStock, clearThick } from '../../src/stages/clear-stock.js';
import { thickest, thickestBySide } from '../../src/stages/left-thickness.js';
import { sliceWork } from '../../src/stages/slice-times.js';
import { areaOver, NODES, volumeBetween, type StockField } from '../../src/stages/stock-field.js';
import { PLACEHOLDER_MACHINE } from '../../src/time/machine.js';
import * as shapes from '../support/shapes.js';
import { fieldOf, FLUSH, meshBlock, plainBox } from './field.js';

const clearedBy = (field: StockField, profile: CutterProfile, stockMm = 0, stepMm: number | null = 1000) =>
  clearStock(field, field.block, profile, stockMm, stepMm);
const removedBy = (...args: Parameters<typeof clearedBy>): number =>
  volumeBetween(args[0], args[0].block, clearedBy(...args).after);
const off = (value: number, exact: number): number => Math.abs(value / exact - 1);

/** Volume of a box pocket whose section at each height is inset, its corners rounded; midpoint sums over 4000 heights. */
function pocketVolume(
  w: number,
  l: number,
  depth: number,
  section: (z: number) => { readonly inset: number; readonly corner: number },
): number {
  const steps = 4000;
  let sum = 0;
  for (let k = 0; k < steps; k++) {
    const { inset, corner } = section(((k + 0.5) / steps) * depth);
    sum += (w - 2 * inset) * (l - 2 * inset) - (4 - Math.PI) * corner * corner;
  }
  return (sum * depth) / steps;
}

const pockets = [
  [30, 44, 8],
  [50, 50, 20],
  [42, 60, 3],
].flatMap(([width, length, depth]) => [0, 8, 45].map((degrees) => ({ width, length, depth, degrees })));
const pocketField = (
  { width, length, depth, degrees }: (typeof pockets)[number],
  nodes = NODES,
): StockField => {
  const placed = (corners: Float64Array): Float64Array =>
    shapes.moved(shapes.turned(corners, degrees), [130, -71, 12]);
  return fieldOf(
    placed(shapes.boxPocket({ width, length, depth, land: 5 })),
    meshBlock(placed(plainBox(width + 10, length + 10, depth + 10))),
    nodes,
  );
};

describe('a box pocket: plane geometry', () => {
  test.each(pockets)(
    'a flat end leaves (4 - π) r² h in its corners: $width x $length x $depth, turned by $degrees degrees',
    (size) => {
      const { width: w, length: l, depth: d } = size;
      const field = pocketField(size);
      expect(off(volumeBetween(field, field.block, field.part), w * l * d)).toBeLessThan(0.002);
      for (const r of [3, 6])
        expect(off(removedBy(field, flatProfile(r)), (w * l - (4 - Math.PI) * r * r) * d)).toBeLessThan(
          0.005,
        );
    },
  );

  test.each(pockets)(
    'stock is left on walls and floor: $width x $length x $depth, turned by $degrees degrees',
    (size) => {
      const [r, s] = [4, 0.6];
      const [w, l, d] = [size.width - 2 * s, size.length - 2 * s, size.depth - s];
      expect(
        off(removedBy(pocketField(size), flatProfile(r), s), (w * l - (4 - Math.PI) * r * r) * d),
      ).toBeLessThan(0.008);
    },
  );

  test.each(pockets)(
    'a bull-nose leaves stock all round, on walls to less than a pitch: $width x $length x $depth, turned by $degrees degrees',
    (size) => {
      const field = pocketField(size);
      for (const [radius, corner] of [
        [5, 1],
        [6, 2],
      ])
        for (const stock of [0.3, 0.6]) {
          const [w, l, d] = [size.width - 2 * stock, size.length - 2 * stock, size.depth - stock];
          const exact = pocketVolume(w, l, d, (z) => {
            const inset = z > corner ? 0 : corner - Math.sqrt(corner ** 2 - (corner - z) ** 2);
            return { inset, corner: radius - inset };
          });
          const walls = 2 * (w + l) * d * 0.8 * field.lattice.pitchMm;
          expect(Math.abs(removedBy(field, bullNoseProfile(radius, corner), stock) - exact)).toBeLessThan(
            walls,
          );
        }
    },
  );

  test.each(pockets)(
    'a bull-nose leaves a fillet of its corner: $width x $length x $depth, turned by $degrees degrees',
    (size) => {
      const [radius, corner] = [5, 1.5];
      const exact = pocketVolume(size.width, size.length, size.depth, (z) => {
        const inset = z > corner ? 0 : corner - Math.sqrt(corner ** 2 - (corner - z) ** 2);
        return { inset, corner: radius - inset };
      });
      expect(
        off(removedBy(pocketField(size, 2 * NODES), bullNoseProfile(radius, corner)), exact),
      ).toBeLessThan(0.005);
    },
  );
});

// In a corner, what a flat end of R leaves and what lies more than t off both walls: the square of side R - t less
// the part of it within R of its far corner, two triangles and a sector. The lattice tells its border to half a pitch.
test.each(
  pockets.flatMap((size) => [
    { ...size, R: 12, t: 1.3 },
    { ...size, R: 10, t: 1.6 },
  ]),
)(
  'one that follows takes what is thicker than $t mm of what R $R left: $width x $length x $depth, by $degrees degrees',
  ({ R, t, ...size }) => {
    const field = pocketField(size),
      { after: before } = clearedBy(field, flatProfile(R));
    const second = { profile: flatProfile(2), stepdownMm: 1000 };
    const taken = (thin: number): number =>
      volumeBetween(field, before, clearThick(field, before, second, 0, thin).after);
    const a = R - t,
      b = Math.sqrt(R * R - a * a);
    const turn = Math.asin(a / R) - Math.asin(b / R);
    const corner = a * a - a * b - (R * R * turn) / 2,
      border = 2 * (a - b) + R * turn;
    expect(Math.abs(taken(t) - 4 * corner * size.depth)).toBeLessThan(
      2 * border * size.depth * field.lattice.pitchMm,
    );
    expect(taken(R * (1 - Math.SQRT1_2) + field.lattice.pitchMm)).toBe(0);
  },
);

/** Share of a circle of this radius that lies in a square of half side a about its middle. */
const inSquare =
  (a: number) =>
  (rho: number): number =>
    rho <= a ? 1 : Math.max(0, 1 - (4 / Math.PI) * Math.acos(a / rho));

/** What a ball that touches flank and floor leaves between them round a cone, where a block stands: by rings. */
function atFoot(r: number, h: number, ball: number, share: (rho: number) => number): number {
  const slope = h / r,
    touch = r + ball * Math.tan(Math.atan(slope) / 2);
  const from = touch - ball * Math.sin(Math.atan(slope)),
    RINGS = 4000;
  let sum = 0;
  for (let i = 0; i < RINGS; i++) {
    const rho = from + ((i + 0.5) * (touch - from)) / RINGS;
    const under = ball - Math.sqrt(ball * ball - (touch - rho) ** 2) - Math.max(0, (r - rho) * slope);
    sum += (under * share(rho) * 2 * Math.PI * rho * (touch - from)) / RINGS;
  }
  return sum;
}

describe('round bodies in their blocks', () => {
  // Volumes: Archimedes, 2/3 π R³; π r² h / 3.
  test.each([8, 15, 25])('a dome of R %d in a box: terraces stand half a step high, as a mean', (radius) => {
    const side = 3 * radius;
    const field = fieldOf(shapes.domeOnPlate(radius, side, 128), FLUSH);
    const stepMm = radius / 8;
    const { after, levels } = clearedBy(field, flatProfile(3), 0, stepMm);
    expect(levels.length).toBe(8);
    // In plan a ring between two levels, of radii ρ1 > ρ2, is one step high less a zone of the ball under it; all in all
    // the stairs hold step π Σ ρ(z)² at the lower levels, less the half-ball.
    const stairs = levels.reduce(
      (sum, _, k) => sum + Math.PI * (radius ** 2 - (k * stepMm) ** 2) * stepMm,
      0,
    );
    const left = volumeBetween(field, after, field.part);
    expect(off(left, stairs - (2 * Math.PI * radius ** 3) / 3)).toBeLessThan(0.05);
  });

  test.each([
    [10, 14],
    [20, 12],
    [20, 30],
  ])('a cone of r %d, h %d in a box and in a cylinder', (r, h) => {
    const corners = shapes.moved(shapes.frustum(r, 0, h, 256), [-40, 900, 3]);
    const cone = (Math.PI * r * r * h) / 3;
    const box = (a: number, high: number) => [4 * a * a * high - cone, inSquare(a)] as const;
    const cylinder = (a: number, high: number) =>
      [Math.PI * a * a * high - cone, (rho: number) => (rho <= a ? 1 : 0)] as const;
    for (const [block, [exact, share]] of [
      [FLUSH, box(r, h)],
      [{ topMm: 3, sideMm: 2 }, box(r + 2, h + 3)],
      [cylinderAbout(corners, FLUSH), cylinder(r, h)],
      [cylinderAbout(corners, { topMm: 2, sideMm: 1 }), cylinder(r + 1, h + 2)],
    ] as const) {
      const field = fieldOf(corners, block);
      expect(off(volumeBetween(field, field.block, field.part), exact)).toBeLessThan(0.002);
      // A ball that follows the surface, and goes no lower than the cone stands, leaves the foot alone.
      const left = exact - atFoot(r, h, 3, share);
      expect(off(removedBy(field, ballProfile(3), 0, null), left)).toBeLessThan(0.002);
    }
  });
});

test.each([0.5, 1.3, 4])(
  'what is taken in slices of %d mm and what is left add up to the block',
  (stepMm) => {
    const field = fieldOf(shapes.turned(shapes.domeOnPlate(15, 50, 96), 33), { topMm: 2, sideMm: 1.5 });
    const move = { DC: 8, stepoverMm: 4, feedMmPerMin: 1000, machine: PLACEHOLDER_MACHINE };
    let before = field.block,
      taken = 0;
    for (const [radius, stockMm] of [
      [4, 0.5],
      [2, 0.5],
      [2, 0.1],
    ]) {
      const cleared = clearStock(field, before, flatProfile(radius), stockMm, stepMm);
      const { slices } = sliceWork(field, before, cleared, move);
      const sum = slices.reduce((all, { volumeMm3 }) => all + volumeMm3, 0);
      expect(off(sum, volumeBetween(field, before, cleared.after))).toBeLessThan(1e-6);
      expect(slices.every(({ zMm }, k) => k === 0 || slices[k - 1].zMm - zMm <= stepMm + 1e-6)).toBe(true);
      taken += sum;
      const left = volumeBetween(field, cleared.after, field.part);
      expect(off(taken + left, volumeBetween(field, field.block, field.part))).toBeLessThan(1e-6);
      before = cleared.after;
    }
  },
);

describe('what a stage leaves for the next', () => {
  // A flat end leaves stairs on a slope: their edges stand ap cos θ off it (a right triangle's height).
  test.each([15, 30, 45, 60].flatMap((degrees) => [0.5, 1.5].map((ap) => [degrees, ap])))(
    'stairs on a slope of %d degrees, %d mm high',
    (degrees, ap) => {
      const slope = Math.tan((degrees * Math.PI) / 180);
      const field = fieldOf(wedge(30, 30, 30 * slope), FLUSH, 90_000, 4.1);
      const { after, levels } = clearedBy(field, flatProfile(4), 0, ap);
      // Steps are evened out.
      const step = levels[0] - levels[1];
      expect(step).toBeLessThanOrEqual(ap);
      const exact = step * Math.cos((degrees * Math.PI) / 180);
      const { greatestMm } = thickest(field, after, 1);
      // Where a stair ends is known to a pitch.
      expect(greatestMm).toBeLessThan(exact * 1.01 + 0.02);
      expect(greatestMm).toBeGreaterThan(exact * 0.93 - 0.1 * Math.sin((degrees * Math.PI) / 180));
      const surface = (30 * 30) / Math.cos((degrees * Math.PI) / 180);
      const mean = volumeBetween(field, after, field.part) / surface;
      expect(mean / (exact / 2)).toBeGreaterThan(0.88);
      expect(mean / (exact / 2)).toBeLessThan(1.05);
    },
  );

  // A ball of radius R in a square corner: R² (1 - π/4) in section, R (1 - cos 45°) from its middle to the walls.
  test.each([2, 4, 6])('a ball of R %d along the foot of the walls of a pocket', (radius) => {
    const [w, l, d] = [40, 52, 15];
    const field = fieldOf(shapes.turned(shapes.boxPocket({ width: w, length: l, depth: d }), 12), {
      topMm: 0,
      sideMm: 0,
    });
    const { after } = clearedBy(field, ballProfile(radius), 0, null);
    const exact = pocketVolume(w, l, d, (z) => {
      const inset = z > radius ? 0 : radius - Math.sqrt(radius ** 2 - (radius - z) ** 2);
      return { inset, corner: radius - inset };
    });
    const pocket = volumeBetween(field, field.block, field.part) - volumeBetween(field, after, field.part);
    expect(pocket).toBeGreaterThan(exact * 0.99);
    // In the corner of three planes the ball's nearest point lies R (1 - 1/√3) from each.
    const { greatestMm } = thickest(field, after, 0.1);
    expect(Math.abs(greatestMm - radius * (1 - 1 / Math.sqrt(3)))).toBeLessThan(0.2);
  });

  // On floor and walls the stock itself; in a corner, between arcs of radii R and r, the outer s off both walls,
  // (√2 - 1) (R - r) + √2 s: plane geometry.
  test.each([
    [6, 4, 0.6],
    [8, 3, 0.4],
    [5, 4.9, 1],
  ])(
    'a mill of R %d before one of R %d: %d mm on the floor, more in the corners of walls',
    (large, small, s) => {
      const [w, l, d] = [48, 36, 7];
      const pocket = shapes.turned(shapes.boxPocket({ width: w, length: l, depth: d }), 21);
      const field = fieldOf(pocket, FLUSH, 90_000, 9);
      const rough = clearedBy(field, flatProfile(large), s).after;
      const { after } = clearStock(field, rough, flatProfile(small), 0, null);
      const ground = { ...field, part: after };
      const told = thickestBySide(ground, rough, 1, (node) => rough[node] > after[node] + 0.01);
      expect(told.floors.greatestMm).toBeCloseTo(s, 3);
      const exact = (Math.SQRT2 - 1) * (large - small) + Math.SQRT2 * s;
      expect(Math.abs(told.walls.greatestMm - exact)).toBeLessThan(1.2 * field.lattice.pitchMm);
      // Over the floor s high within the walls' stock, beside them all the rest.
      expect(off(told.floors.volumeMm3, (w - 2 * s) * (l - 2 * s) * s)).toBeLessThan(0.05);
      const all = volumeBetween(field, rough, after);
      expect(off(told.floors.volumeMm3 + told.walls.volumeMm3, all)).toBeLessThan(0.001);
    },
  );
});

describe('true area of a height surface', () => {
  test.each([0, 15, 45, 60])('a slope of %d degrees: plan area over its cosine', (degrees) => {
    const cos = Math.cos((degrees * Math.PI) / 180);
    const field = fieldOf(wedge(30, 30, 30 * Math.tan(Math.max(1, degrees) * (Math.PI / 180))), FLUSH);
    const exact = (30 * 30) / (degrees === 0 ? Math.cos(Math.PI / 180) : cos);
    const onIt = (node: number) => field.isPart[node] === 1 && field.part[node] > field.floorMm + 0.2;
    expect(off(areaOver(field, field.part, onIt), exact)).toBeLessThan(0.04);
  });

  // Walls count once, at their feet: L1 norm of their direction against its length, 1 to 1.083.
  test('a pocket of 20 by 14, 9 deep: floor and walls', () => {
    const field = fieldOf(shapes.boxPocket({ width: 20, length: 14, depth: 9, land: 8 }), FLUSH);
    const top = field.part.reduce((a, b) => Math.max(a, b));
    const area = areaOver(
      field,
      field.part,
      (node) => field.isPart[node] === 1 && field.part[node] < top - 8,
    );
    const walls = 2 * (20 + 14) * 9;
    expect(area - 20 * 14).toBeGreaterThan(0.97 * walls);
    expect(area - 20 * 14).toBeLessThan(1.1 * walls);
  });
});

/** x from 0, the top rising along x from z = 0 to `high`. */
function wedge(long: number, wide: number, high: number): Float64Array {
  const corners = shapes.box(long, wide, high + 5);
  for (let i = 0; i < corners.length; i += 3)
    if (corners[i + 2] > 1) corners[i + 2] = 5 + (corners[i] / long) * high;
  return corners;
}
