import { describe, expect, test } from 'vitest';
import { CLASS_INDEX, MACHINABLE_CLASSES } from '../../src/core/classes.js';
import { cellDepths } from '../../src/reach/reach-cells.js';
import { byPlace } from '../../src/reach/place-order.js';
import { reachRadii } from '../../src/reach/reach-kernels.js';
import { ringWalk } from '../../src/reach/ring-walk.js';
import { onTrueSurface } from '../../src/part/sagittas.js';
import { startSurface } from '../../src/surface/surface-builder.js';
import { reachOf, type ShapeReach } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { heightBlock } from '../support/shapes/height-block.js';
import { gridMesh, steps } from '../support/labelled-mesh.js';

const { abs, sqrt } = Math;
const T = 0.02;
const STEP = 0.14;
/** What `BallReach` allows itself, and a quarter of what samples may be off a linear course. */
const accuracy = (radius: number): number => 0.01 + 0.01 * radius;

/** Vertices of the surface that reach was asked of, with a corner of each. */
function vertexCorners({ reach: { surface, labels } }: ShapeReach): Map<number, number> {
  const corners = new Map<number, number>();
  surface.mesh.triangles.forEach((v, h) => {
    if (labels[(h / 3) | 0] < MACHINABLE_CLASSES && surface.normals[3 * h + 2] > 0.01) corners.set(v, h);
  });
  return corners;
}

/**
 * Largest radius that reaches p = (x, x²/2a) of the trough z = x²/2a with a tolerance. A ball larger than a
 * lies on both sides of the trough at ±b, b² = R² - a², its centre at height b²/2a + a (normals of a parabola
 * meet its axis a over their foot); what it leaves of p is the distance from that centre less R.
 */
function troughReach(x: number, a: number, tolerance: number): number {
  const left = (r: number): number => {
    const b2 = r * r - a * a;
    return x * x >= b2 ? 0 : sqrt(x * x + ((x * x) / (2 * a) - b2 / (2 * a) - a) ** 2) - r;
  };
  let low = a,
    high = 100;
  for (let i = 0; i < 60; i++) {
    const r = 0.5 * (low + high);
    if (left(r) <= tolerance) low = r;
    else high = r;
  }
  return low;
}

describe('parabolic trough of 16 000 facets', () => {
  const A = 3,
    WIDE = 50 * STEP,
    LONG = 57 * STEP;
  const block = (cells: number): Float64Array =>
    heightBlock(steps(50, STEP), steps(cells, STEP), (x) => 4 + (x - WIDE / 2) ** 2 / (2 * A));

  test('reach radii follow the closed form, and few vertices are asked', async () => {
    const found = await reachOf(block(57), [2, 3.7, 4.4, 5.5], T);
    const { reach } = found;
    const { positions } = reach.surface.mesh;
    const corners = vertexCorners(found);
    let checked = 0;
    for (const v of corners.keys()) {
      const x = positions[3 * v] - WIDE / 2,
        y = positions[3 * v + 1];
      // At the ends a ball leans out of the trough, at its upper edges over the sides.
      if (y < 1.2 || y > LONG - 1.2 || abs(x) > 2.4) continue;
      const expected = troughReach(x, A, T);
      checked++;
      if (expected > 5.4) expect(reach.reachRadii[v]).toBeGreaterThan(5.3);
      else
        expect(
          abs(reach.reachRadii[v] - expected),
          `${x}, ${y}: ${reach.reachRadii[v]}, ${expected}`,
        ).toBeLessThan(accuracy(expected));
    }
    expect(checked).toBeGreaterThan(1000);
    expect(reach.queried).toBeLessThan(0.6 * corners.size);
  });

  test('unreached areas are those of the closed form, between the ends', async () => {
    const radius = 4;
    const unreached = async (cells: number): Promise<number> =>
      (await reachOf(block(cells), [radius], T)).unreachedMm2[0];
    // Of two lengths, so that the ends fall out.
    const area = (await unreached(100)) - (await unreached(50));
    let x = 0;
    while (troughReach(x, A, T) < radius) x += 1e-4;
    // Arc length of the parabola from -x to x.
    const u = x / A;
    const expected = 50 * STEP * A * (u * sqrt(1 + u * u) + Math.asinh(u));
    expect(abs(area / expected - 1)).toBeLessThan(0.02);
  });
});

describe('told from samples, against every vertex asked', () => {
  const uneven = heightBlock(
    steps(100, STEP),
    steps(100, STEP),
    (x, y) => 8 + 1.5 * Math.sin(x / 1.7) * Math.cos(y / 2.1) + 2 / (1 + ((x - 0.7 * y - 4) / 1.5) ** 2),
  );
  test.each([
    ['as it is', uneven],
    ['facets in another order (seed 9)', shapes.permuted(uneven, 9)],
  ])('%s', async (_, corners) => {
    const radii = [0.5, 1, 1.5, 2, 3, 4];
    const found = await reachOf(corners, radii, T);
    const { reach, part } = found;
    const { positions } = reach.surface.mesh,
      vertices = [...vertexCorners(found)];
    const items = new Float64Array(6 * vertices.length),
      place = new Float64Array(6);
    vertices.forEach(([v, h], i) => {
      onTrueSurface(
        part.smooth,
        reach.surface.parent[(h / 3) | 0],
        positions[3 * v],
        positions[3 * v + 1],
        positions[3 * v + 2],
        place,
      );
      items.set(place, 6 * i);
    });
    const asked = reachRadii(part.tree, items, Float64Array.from(radii), {
      toleranceMm: T,
      slackMm: 0.01 * T,
    });
    let off = 0;
    vertices.forEach(([v], i) => {
      const one = Math.min(4, asked[i]),
        other = Math.min(4, reach.reachRadii[v]);
      if (abs(one - other) > accuracy(one)) off++;
    });
    expect(reach.queried).toBeLessThan(0.7 * vertices.length);
    // Beside the block's edges the answers of every vertex jump as much from one to the next.
    expect(off).toBeLessThan(0.002 * vertices.length);
  });
});

describe('what lies between samples is seen', () => {
  // Spherical dimples: a ball of their radius fits, a larger one does not; their area is 2 pi r h.
  const R = 0.9,
    DEEP = 0.09,
    GRID = 5;
  const random = shapes.randomNumbers(31);
  const dimples = Array.from(
    { length: GRID * GRID },
    (_, i) =>
      [2 + 2.6 * (i % GRID) + 0.9 * random(), 2 + 2.6 * Math.floor(i / GRID) + 0.9 * random()] as const,
  );
  const rim2 = R * R - (R - DEEP) ** 2;
  const height = (x: number, y: number): number => {
    for (const [u, v] of dimples) {
      const d2 = (x - u) ** 2 + (y - v) ** 2;
      if (d2 < rim2) return 5 + R - DEEP - sqrt(R * R - d2);
    }
    return 5;
  };
  test('25 dimples 0.8 mm wide anywhere on a plane of 25 000 facets (seed 31): each is a tight place', async () => {
    const { reach, tight } = await reachOf(
      heightBlock(steps(114, STEP), steps(114, STEP), height),
      [2, 6],
      T,
    );
    const patches = await tight();
    const near = dimples.map(
      ([x, y]) =>
        patches.filter(({ centreMm }) => sqrt((centreMm[0] - x) ** 2 + (centreMm[1] - y) ** 2) < 0.4).length,
    );
    expect(
      near.every((count) => count >= 1),
      `${near}`,
    ).toBe(true);
    expect(reach.settledByGrid + reach.queried).toBeLessThan(0.9 * (reach.surface.mesh.positions.length / 3));
  });
});

describe('parts of it', () => {
  const lattice = (step: number) => {
    const xs = steps(20, step);
    const { mesh, topology } = gridMesh(xs, xs);
    const build = startSurface(mesh, topology, new Float64Array(3 * mesh.triangles.length));
    build.arrays().labels.fill(CLASS_INDEX.level);
    return build;
  };

  // A facet of half a square of side s has the area of an equilateral one of side 1.0746 s.
  test.each([
    [0.5, []],
    [0.28, []],
    [0.27, [2, 1]],
    [0.13, [4, 2, 1]],
    [0.05, [8, 4, 2, 1]],
  ])('facets of %d mm: samples %j edges apart', (step, depths) => {
    const build = lattice(step);
    expect(cellDepths(build.arrays(), build.faceCount())).toEqual(depths);
  });

  test('a walk of so many edges over a lattice with diagonals visits 1, 7, 19, 37 vertices, and stops where told', () => {
    const build = lattice(1);
    const { triangles, twin } = build.arrays();
    const corner = new Int32Array(build.vertexCount()).fill(-1);
    triangles.forEach((v, h) => {
      corner[v] = h;
    });
    // The lattice's border has no corners: 21 vertices a side.
    for (let v = 0; v < corner.length; v++) {
      const i = v % 21,
        j = Math.floor(v / 21);
      if (i === 0 || j === 0 || i === 20 || j === 20) corner[v] = -1;
    }
    const walk = ringWalk({ triangles, twin }, corner);
    const visited = (from: number, depth: number, stop = -1): number[] => {
      const seen: number[] = [];
      walk(from, depth, (v) => {
        seen.push(v);
        return v !== stop;
      });
      return seen;
    };
    const middle = 10 * 21 + 10;
    expect([0, 1, 2, 3].map((depth) => visited(middle, depth).length)).toEqual([1, 7, 19, 37]);
    expect(visited(middle, 3, middle)).toEqual([middle]);
    expect(visited(22, 9).filter((v) => corner[v] < 0).length).toBeGreaterThan(0);
  });

  test('vertices in the order of their places, whatever their numbers (seed 4)', () => {
    const random = shapes.randomNumbers(4);
    const places = Array.from({ length: 300 }, () => [random() * 50, random() * 50, random() * 20]);
    const ordered = (list: number[][]): number[][] =>
      [...byPlace(Float64Array.from(list.flat()), new Int32Array(list.length))].map((v) => list[v]);
    const once = ordered(places),
      again = ordered([...places].reverse());
    expect(again).toEqual(once);
    expect([
      ...byPlace(
        Float64Array.from(places.flat()),
        Int32Array.from(places, (_, v) => (v === 7 ? -1 : 0)),
      ),
    ]).not.toContain(7);
    // Neighbours in the order are near each other: on average far nearer than the 26 mm of any two.
    const apart = once.slice(1).map((p, i) => sqrt(p.reduce((sum, x, k) => sum + (x - once[i][k]) ** 2, 0)));
    expect(apart.reduce((sum, d) => sum + d, 0) / apart.length).toBeLessThan(10);
  });
});
