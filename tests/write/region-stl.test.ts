import { expect, test } from 'vitest';
import { STLLoader } from 'three/examples/jsm/loaders/STLLoader.js';
import { regionStl } from '../../src/write/region-stl.js';
import { revolvedMesh } from '../support/labelled-mesh.js';

// Cone of radius 6, height 8, slant 10, in 64 sides, on a flat ring out to 9.
const part = revolvedMesh([0, 6, 9], [8, 0, 0], 64);

test("read by a general-purpose loader: the region's facets, in order, normals outward", () => {
  const bytes = regionStl(part.mesh, part.bandOfFace, 0, 'steep region 0');
  // STL specification: 84 + 50 n bytes.
  expect(bytes).toHaveLength(84 + 50 * 64);
  const geometry = new STLLoader().parse(bytes.buffer);
  const p = geometry.getAttribute('position'),
    n = geometry.getAttribute('normal');
  expect(p.count).toBe(3 * 64);
  let area = 0;
  for (let i = 0; i < p.count; i += 3) {
    const [u, v] = [i + 1, i + 2].map((j) => [
      p.getX(j) - p.getX(i),
      p.getY(j) - p.getY(i),
      p.getZ(j) - p.getZ(i),
    ]);
    const cross = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    const length = Math.sqrt(cross[0] ** 2 + cross[1] ** 2 + cross[2] ** 2);
    area += length / 2;
    [n.getX(i), n.getY(i), n.getZ(i)].forEach((value, k) => expect(value).toBeCloseTo(cross[k] / length, 5));
    expect(n.getZ(i)).toBeGreaterThan(0);
  }
  // Pyramid of 64 sides: lateral area 64/2 s h', side s = 2 r sin(pi/64), h' to the middle of the side.
  const side = 12 * Math.sin(Math.PI / 64),
    height = Math.sqrt(64 + (6 * Math.cos(Math.PI / 64)) ** 2);
  expect(area).toBeCloseTo(32 * side * height, 3);
});

test('header: plain ASCII, never "solid", cut at 80 bytes; an empty region is an empty file of 84 bytes', () => {
  const bytes = regionStl(part.mesh, part.bandOfFace, 7, `solid ${'ü'.repeat(200)}`);
  expect(bytes).toHaveLength(84);
  const header = String.fromCharCode(...bytes.subarray(0, 80));
  expect(header).toMatch(/^binary STL, mm, solid \?+$/);
  expect(new DataView(bytes.buffer).getUint32(80, true)).toBe(0);
  expect(() => regionStl(part.mesh, [0], 0, '')).toThrow(RangeError);
});

test('a facet without area has no normal rather than NaN', () => {
  const mesh = { positions: new Float64Array(9).fill(1), triangles: Uint32Array.of(0, 1, 2) };
  const view = new DataView(regionStl(mesh, [0], 0, '').buffer);
  expect([84, 88, 92].map((at) => view.getFloat32(at, true))).toEqual([0, 0, 0]);
});
