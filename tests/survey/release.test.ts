import { expect, test } from 'vitest';
import { buildPartTree, meshFacets } from '../../src/reach/build-part-tree.js';
import { openPlan } from '../../src/reach/open-plan.js';
import { leastDraftAngle, releaseFindings, releaseOf } from '../../src/survey/release.js';
import { readyPart, surveyShape, zonesOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { extrude } from '../support/shapes/sweeps.js';

function released(corners: Float64Array, minDraftDeg: number) {
  const part = readyPart(corners);
  const { surface, labels } = zonesOf(part, { alsoCutAt: [leastDraftAngle(minDraftDeg)] });
  return releaseOf(surface, labels, { isOpen: openPlan(buildPartTree(meshFacets(part.mesh))) }, minDraftDeg);
}
const rad = (degrees: number): number => (degrees * Math.PI) / 180;

/** Pocket whose walls all lean by the draft; corner radii shrink with them, so that corners are cones. */
function draftedPocket(
  halfX: number,
  halfY: number,
  radius: number,
  depth: number,
  draftDeg: number,
  facets: number,
) {
  const inset = depth * Math.tan(rad(draftDeg));
  const ring = (off: number, z: number) => ({
    halfX: halfX - off,
    halfY: halfY - off,
    radius: Math.max(0, radius - off),
    z,
  });
  const corners = shapes.pocketPlate({
    tileX: 2 * halfX + 30,
    tileY: 2 * halfY + 30,
    bottomZ: -depth - 10,
    tiles: [[{ rings: [ring(0, 0), ring(inset, -depth)], facets }]],
  });
  // Closed form: trapezoids of plane walls, and the side of a frustum of a cone for the four corners.
  const slant = depth / Math.cos(rad(draftDeg));
  const straight = radius > 0 ? 4 * (halfX + halfY - 2 * radius) : 4 * (halfX + halfY - inset);
  const round = radius > 0 ? Math.PI * (2 * radius - inset) : 0;
  return { corners, wallsMm2: slant * (straight + round) };
}

test.each([
  [20, 12, 15, 0.5],
  [40, 30, 8, 1],
  [6, 9, 20, 3],
])(
  'sharp pocket of %d x %d, %d deep, draft %d degrees: exact, in every pose',
  (halfX, halfY, depth, draftDeg) => {
    const { corners, wallsMm2 } = draftedPocket(halfX, halfY, 0, depth, draftDeg, 1);
    for (const { name, corners: own, scale } of shapes.variants(corners)) {
      const more = released(own, 1.05 * draftDeg + 0.02),
        asMuch = released(own, draftDeg);
      expect(Math.abs(more.wallsMm2 / scale ** 2 / wallsMm2 - 1), name).toBeLessThan(1e-5);
      expect(more.places.map(({ kind }) => kind)).toEqual(['wall']);
      expect(Math.abs(more.places[0].leastDraftDeg - draftDeg), name).toBeLessThan(0.01);
      expect(asMuch, name).toMatchObject({ wallsMm2: 0, undercutsMm2: 0, outerSidesMm2: 0, places: [] });
    }
  },
);

test.each([4, 8, 24])(
  'conical corners in %d facets a quarter: walls listed from their draft on',
  (facets) => {
    const { corners, wallsMm2 } = draftedPocket(20, 15, 6, 12, 2, facets);
    // Mesh against cone: its facets miss a share of (pi / 4 facets)^2 / 6 of the round part.
    expect(Math.abs(released(corners, 2.2).wallsMm2 / wallsMm2 - 1)).toBeLessThan(
      0.15 * (Math.PI / 4 / facets) ** 2 + 1e-6,
    );
    expect(released(corners, 2).wallsMm2).toBe(0);
    expect(released(corners, 1.9).wallsMm2).toBe(0);
  },
);

// Side of a frustum of a cone, pi (R + r) s.
test.each([
  [24, 1],
  [32, 1],
  [256, 1],
  [32, 0.25],
  [64, 5],
])('cone in %d segments, draft %d degrees', (segments, draftDeg) => {
  const height = 20,
    baseRadius = 15,
    topRadius = baseRadius - height * Math.tan(rad(draftDeg));
  const corners = shapes.frustumOnPlate({ baseRadius, topRadius, height, side: 60, segments });
  const side = (Math.PI * (baseRadius + topRadius) * height) / Math.cos(rad(draftDeg));
  const more = released(corners, 1.1 * draftDeg);
  expect(Math.abs(more.wallsMm2 / side - 1)).toBeLessThan((Math.PI / segments) ** 2 / 5 + 1e-6);
  expect(released(corners, draftDeg).wallsMm2).toBe(0);
});

// Archimedes: the zone of a ball between two heights has the area 2 pi R h; draft below a lies below R sin a.
// At its foot, a crease, corner normals lag by half a facet, as those that classes are told by do.
test.each([
  [5, 256],
  [10, 128],
  [20, 64],
])('dome: less than %d degrees of draft, %d segments', (minDraftDeg, segments) => {
  const zone = 2 * Math.PI * 15 * 15 * Math.sin(rad(minDraftDeg - 0.01));
  expect(
    Math.abs(released(shapes.domeOnPlate(15, 60, segments), minDraftDeg).wallsMm2 / zone - 1),
  ).toBeLessThan(0.01);
});

test('upright walls have no draft at all; upright outer sides are not asked', () => {
  const { wallsMm2, places } = released(shapes.boxPocket({ width: 30, length: 20, depth: 10 }), 0.5);
  expect(wallsMm2).toBeCloseTo(1000, 6);
  expect(places).toHaveLength(1);
  expect(places[0].leastDraftDeg).toBeCloseTo(0, 9);
});

test('lips of a T-slot hold a moulding, open ends or not', () => {
  const release = released(
    shapes.turned(shapes.tSlot({ neck: 6, lip: 5, width: 20, depth: 12, length: 40 }), 13.7),
    1,
  );
  expect(release.undercutsMm2).toBeCloseTo((20 - 6) * 40, 6);
  expect(release.outerSidesMm2).toBe(0);
  const [undercut] = release.places.filter(({ kind }) => kind === 'undercut');
  expect(undercut.leastDraftDeg).toBeCloseTo(-90, 6);
});

test('a boss wider at its top holds a moulding; the same standing alone is an outer side', () => {
  const side = (Math.PI * (8 + 10) * 20) / Math.cos(Math.atan(0.1));
  const onPlate = released(
    shapes.frustumOnPlate({ baseRadius: 8, topRadius: 10, height: 20, side: 60, segments: 256 }),
    1,
  );
  expect(Math.abs(onPlate.undercutsMm2 / side - 1)).toBeLessThan(1e-4);
  expect(onPlate.places[0].leastDraftDeg).toBeCloseTo((-Math.atan(0.1) * 180) / Math.PI, 2);
  const alone = released(shapes.frustum(8, 10, 20, 256), 1);
  expect(Math.abs(alone.outerSidesMm2 / side - 1)).toBeLessThan(1e-4);
  expect(alone.undercutsMm2).toBe(0);
});

test('a hole that widens downwards holds a moulding, although a tool could be seen through it', () => {
  const rings = [
    { halfX: 10, halfY: 8, radius: 0, z: 0 },
    { halfX: 12, halfY: 10, radius: 0, z: -20 },
  ];
  const corners = shapes.pocketPlate({
    tileX: 60,
    tileY: 60,
    bottomZ: -20,
    tiles: [[{ rings, facets: 1, through: true }]],
  });
  const { undercutsMm2, outerSidesMm2 } = released(corners, 1);
  expect(undercutsMm2).toBeCloseTo(2 * (20 + 24 + 16 + 20) * 0.5 * Math.sqrt(20 ** 2 + 2 ** 2), 6);
  expect(outerSidesMm2).toBe(0);
});

test('a clamp slot along an outer side is an outer side, whether those count as steep or not', () => {
  const block = extrude(
    [
      [-30, 0],
      [30, 0],
      [30, 10],
      [22, 10],
      [22, 18],
      [30, 18],
      [30, 40],
      [-30, 40],
    ],
    -25,
    25,
  );
  const part = readyPart(shapes.turned(block, 20));
  for (const includeOutside of [false, true]) {
    const { surface, labels } = zonesOf(part, { alsoCutAt: [leastDraftAngle(1)], includeOutside });
    const release = releaseOf(surface, labels, { isOpen: openPlan(buildPartTree(meshFacets(part.mesh))) }, 1);
    expect(release.outerSidesMm2).toBeCloseTo(8 * 50, 6);
    expect(release.undercutsMm2).toBe(0);
  }
});

test('a survey that is asked lists it, one that is not does not', async () => {
  const { corners } = draftedPocket(15, 10, 0, 10, 0.5, 1);
  const cutters = [{ id: 'B4', DC: 4, RE: 2, APMX: 4, LU: 20, NOF: 2 }];
  const options = { unit: 'mm' as const, radiiMm: [2], cutters: { version: 1 as const, cutters } };
  const { plan, files } = await surveyShape(corners, { ...options, minDraftDeg: 1 });
  expect(plan.findings.map(({ code }) => code)).toContain('release.draft');
  expect(plan.release?.places).toHaveLength(1);
  expect(String(files.get('release.csv')).split('\r\n')[1]).toMatch(/^W0,wall,/);
  expect(releaseFindings(null)).toEqual([]);
});
