import { beforeAll, describe, expect, test } from 'vitest';
import { MODELS, modelBytes } from '../../models/catalogue.js';
import { onTrueSurface } from '../../src/part/sagittas.js';
import { ballReach } from '../../src/reach/ball-reach.js';
import { ballQuery } from '../../src/reach/ball-contact.js';
import { FACET_STRIDE, openFacets } from '../../src/reach/open-facets.js';
import { readPart } from '../../src/read/read-part.js';
import { reachOf, readyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const T = 0.02;

type Ready = ReturnType<typeof readyPart>;

/** Facets that face up, each with its corners on the true surface. */
function facetsOf({ smooth }: Ready): { readonly faces: number[]; readonly items: Float64Array } {
  const { positions, triangles } = smooth.mesh;
  const out = new Float64Array(6);
  const faces: number[] = [],
    items: number[] = [];
  for (let f = 0; f < triangles.length / 3; f++) {
    const own = [0, 1, 2].flatMap((k) => {
      const [x, y, z] = positions.subarray(3 * triangles[3 * f + k]);
      onTrueSurface(smooth, f, x, y, z, out);
      return [...out];
    });
    if (own[5] < 0.1 || own[11] < 0.1 || own[17] < 0.1) continue;
    faces.push(f);
    items.push(...own);
  }
  return { faces, items: Float64Array.from(items) };
}

// Wherever on a facet that is told open: the exact query knows nothing of it, and must find the largest radius.
function notReached(
  part: Ready,
  radius: number,
  seed: number,
): { open: number; tried: number; failed: number } {
  const { faces, items } = facetsOf(part);
  const { positions, triangles } = part.smooth.mesh;
  const open = openFacets(part.tree, items, radius, 0.5 * T);
  const exact = ballReach(ballQuery(part.tree), { toleranceMm: T, slackMm: 0.1 * T });
  const random = shapes.randomNumbers(seed),
    at = new Float64Array(6);
  let tried = 0,
    failed = 0;
  faces.forEach((f, i) => {
    if (open[i] !== 1) return;
    for (let n = 0; n < 6; n++) {
      let [v, w] = [random(), random()];
      if (v + w > 1) [v, w] = [1 - v, 1 - w];
      const [x, y, z] = [0, 1, 2].map((k) =>
        [1 - v - w, v, w].reduce((sum, share, c) => sum + share * positions[3 * triangles[3 * f + c] + k], 0),
      );
      onTrueSurface(part.smooth, f, x, y, z, at);
      tried++;
      if (exact.radius(at[0], at[1], at[2], at[3], at[4], at[5], radius) < radius) failed++;
    }
  });
  return { open: open.reduce((sum, one) => sum + one, 0), tried, failed };
}

describe.each(MODELS.map((model) => ({ name: model.name, model })))('$name', ({ model }) => {
  let part: Ready;
  beforeAll(async () => {
    const { corners } = await readPart(modelBytes(model), { name: 'model.stl' });
    part = readyPart(corners, 35, T);
  });

  test.each([0.5, 2, 5, 10])('R %d: no point of a facet told open fails the exact query', (radius) => {
    const { open, tried, failed } = notReached(part, radius, 77);
    expect(open).toBeGreaterThan(10);
    expect(tried).toBe(6 * open);
    expect(failed).toBe(0);
  });
});

test.each([
  ['a cone', shapes.frustum(20, 0, 30, 500)],
  ['a hemisphere', shapes.hemisphere(10, 160)],
  ['a box, turned', shapes.turned(shapes.box(30, 20, 10), 33)],
] as const)('%s: nothing is above a convex part', (_name, corners) => {
  const part = readyPart(corners, 35, T);
  const { items } = facetsOf(part);
  for (const radius of [1, 10]) expect([...openFacets(part.tree, items, radius, 0.5 * T)]).not.toContain(0);
});

// A cone of 5000 facets took 41 s: slivers from foot to tip were halved until they were short.
test('the slivers of a cone of 2000 are not cut up, and hardly asked about', async () => {
  const { reach, unreachedMm2 } = await reachOf(shapes.frustum(20, 0, 30, 1000), [1, 5], T);
  expect(unreachedMm2).toEqual([0, 0]);
  expect(reach.labels.length).toBeLessThan(3 * 2000);
  expect(reach.queried).toBeLessThan(3 * 2000);
});

// A post beside the long side of a plate, halfway along it: all corners of the plate are far from it. A ball that
// touches the plate at p cannot come nearer to the post than its radius, so that p is missed by more than t within
// w = R - √(2 R t + t²) of it.
describe.each([
  { radius: 5, apart: 1, side: 2, length: 200, deg: 0 },
  { radius: 5, apart: 3, side: 0.5, length: 400, deg: 31 },
  { radius: 10, apart: 4, side: 6, length: 300, deg: -77 },
  { radius: 2, apart: 0.7, side: 3, length: 120, deg: 118 },
])('R $radius, a post of $side mm beside a plate of $length mm', ({ radius, apart, side, length, deg }) => {
  const plate = shapes.moved(shapes.box(length, 60, 10), [-length / 2, 0, 0]);
  const post = shapes.moved(shapes.box(side, side, 40), [-side / 2, -apart - side, 0]);
  const corners = shapes.turned(shapes.joined(plate, post), deg);

  test('the facet beside it is not told open, and the rest of the plate is', async () => {
    const part = readyPart(corners, 35, T);
    const { faces, items } = facetsOf(part);
    const open = openFacets(part.tree, items, radius, 0.5 * T);
    const level = faces.flatMap((f, i) => {
      const z = [0, 1, 2].map(
        (k) => part.smooth.mesh.positions[3 * part.smooth.mesh.triangles[3 * f + k] + 2],
      );
      return Math.max(...z) -
        part.smooth.mesh.positions.reduce((a, b, k) => (k % 3 === 2 ? Math.min(a, b) : a), 0) <
        11
        ? [open[i]]
        : [];
    });
    expect(level.sort()).toEqual([0, 1]);
    expect(items.length).toBe(FACET_STRIDE * faces.length);
  });

  test('what it hides of the plate follows the closed form', async () => {
    const { unreachedMm2 } = await reachOf(corners, [radius], T);
    const w = radius - Math.sqrt(2 * radius * T + T * T);
    const segment = w * w * Math.acos(apart / w) - apart * Math.sqrt(w * w - apart * apart);
    const hidden = side * (w - apart) + segment;
    expect(Math.abs(unreachedMm2[0] - hidden)).toBeLessThan(Math.max(0.02 * hidden, 0.25));
  });
});
