import { describe, expect, test } from 'vitest';
import { CLASS_INDEX } from '../../src/core/classes.js';
import { RAD_PER_DEG } from '../../src/core/units.js';
import { smoothNormals } from '../../src/part/smooth-normals.js';
import { startSurface, type SurfaceBuilder } from '../../src/surface/surface-builder.js';
import { borderAngles, classifyByAngle, facetAngle } from '../../src/zones/classify.js';
import { cutAngles, ON_BORDER_RAD, wallAngle } from '../../src/zones/cut-angles.js';
import { partOf } from '../reach/part.js';
import * as shapes from '../support/shapes.js';
import { assertValidTopology } from '../support/valid-topology.js';

const start = (corners: Float64Array): SurfaceBuilder => {
  const { mesh, topology } = partOf(corners);
  return startSurface(mesh, topology, smoothNormals(mesh, topology));
};
const rad = (degrees: number): number => degrees * RAD_PER_DEG;

test('wall angle: 0 up, 90 sideways, 180 down, any length; NaN for no normal', () => {
  expect(wallAngle(0, 0, 2)).toBe(0);
  expect(wallAngle(-3, 0, 0)).toBeCloseTo(rad(90), 15);
  expect(wallAngle(0, 0, -1)).toBeCloseTo(rad(180), 15);
  expect(wallAngle(0.3, 0.4, 0.5)).toBeCloseTo(rad(45), 15);
  expect(wallAngle(0, 0, 0)).toBeNaN();
  // Where an arc cosine would lose half its digits.
  expect(wallAngle(1e-9, 0, 1)).toBeCloseTo(1e-9, 20);
});

describe.each([
  ['ball', shapes.icosphere(10, 2)],
  ['ball, coarse', shapes.icosphere(10, 1)],
  ['dome', shapes.hemisphere(10, 24)],
  ['lying cylinder', shapes.turned(shapes.lyingCylinder(10, 50, 24), 37)],
  ['pocket', shapes.roundPocket({ segments: 24, filletFacets: 4 })],
] as const)('%s', (_, corners) => {
  const borders = [0.5, 30, 45, 48, 89.5, 90.5, 179.5].map(rad);
  const build = start(corners);
  const before = build.vertexCount();
  cutAngles(build, borders);
  const after = build.vertexCount();
  const { surface } = build.finish();

  test('afterwards no facet has corners on both sides of a border, and the mesh still conforms', () => {
    expect(after).toBeGreaterThan(before);
    assertValidTopology(surface.mesh, surface.topology);
    expect(surface.topology.twin.includes(-1)).toBe(false);
    for (let f = 0; f < surface.parent.length; f++) {
      const angles = [0, 1, 2].map((k) => wallAngle(...triple(surface.normals, 9 * f + 3 * k)));
      for (const border of borders) {
        const sides = angles.map((angle) =>
          Math.abs(angle - border) <= 2 * ON_BORDER_RAD ? 0 : Math.sign(angle - border),
        );
        expect(
          sides.includes(1) && sides.includes(-1),
          `facet ${f}, ${angles.map((a) => a / RAD_PER_DEG)}`,
        ).toBe(false);
      }
    }
  });

  test('a second time there is nothing to cut', () => {
    cutAngles(build, borders);
    expect(build.vertexCount()).toBe(after);
  });

  const triple = (xs: Float64Array, i: number): [number, number, number] => [xs[i], xs[i + 1], xs[i + 2]];
});

// Isophotes of a sphere are circles of radius R sin t (closed form): what the cut adds lies on them.
test.each([10, 30, 45, 80])('border of %d degrees on a sphere: a circle of radius R sin t', (degrees) => {
  const build = start(shapes.icosphere(10, 4));
  const before = build.vertexCount();
  cutAngles(build, [rad(degrees)]);
  const { positions } = build.arrays();
  for (let v = before; v < build.vertexCount(); v++) {
    const r = Math.sqrt(positions[3 * v] ** 2 + positions[3 * v + 1] ** 2);
    expect(Math.abs(r - 10 * Math.sin(rad(degrees)))).toBeLessThan(0.03);
  }
  expect(build.vertexCount() - before).toBeGreaterThan(20);
});

describe('classify', () => {
  test('borders ascend, none twice; a split at a fixed border falls together with it', () => {
    const angles = borderAngles({ splitRad: rad(45), splitEndRad: rad(48) });
    expect(angles.map((a) => Math.round((a / RAD_PER_DEG) * 10) / 10)).toEqual([
      0.5, 45, 48, 89.5, 90.5, 179.5,
    ]);
    expect(borderAngles({ splitRad: rad(90), splitEndRad: rad(90) }).length).toBe(5);
    expect(borderAngles({ splitRad: rad(45), splitEndRad: rad(45) }).length).toBe(5);
    expect(borderAngles({ splitRad: rad(0.5), splitEndRad: rad(3.5) }).length).toBe(5);
  });

  test.each([
    [0, 'level'],
    [0.5, 'level'],
    [0.51, 'shallow'],
    [44.9, 'shallow'],
    [45, 'overlap'],
    [48, 'overlap'],
    [48.1, 'steep'],
    [89, 'steep'],
  ] as const)('a ramp of %d degrees is %s', (degrees, cls) => {
    const build = start(shapes.rampBlock(degrees));
    const borders = { splitRad: rad(45), splitEndRad: rad(48) };
    cutAngles(build, borderAngles(borders));
    classifyByAngle(build, borders);
    const { normals, labels } = build.arrays();
    const ramp = [...Array(build.faceCount()).keys()].filter(
      (f) => Math.abs(facetAngle(normals, f) - rad(degrees)) < 1e-9 && normals[9 * f + 2] > 0,
    );
    expect(ramp.length).toBeGreaterThan(0);
    for (const f of ramp) expect(labels[f]).toBe(CLASS_INDEX[cls]);
  });
});
