import { describe, expect, test } from 'vitest';
import { onTrueSurface } from '../../src/part/sagittas.js';
import { readyPart, type ReadyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

const { PI, abs, cos, sqrt } = Math;

/** Corners whose place and own facet `where` accepts: the place and the turned normal. */
function cornersWhere(
  { mesh: { positions, triangles }, normals, smooth }: ReadyPart,
  where: (place: readonly number[], mean: readonly number[]) => boolean,
): { readonly place: readonly number[]; readonly normal: readonly number[] }[] {
  return Array.from(triangles, (v, h) => ({
    place: [...positions.subarray(3 * v, 3 * v + 3)],
    mean: [...normals.subarray(3 * h, 3 * h + 3)],
    normal: [...smooth.normals.subarray(3 * h, 3 * h + 3)],
  })).filter(({ place, mean }) => where(place, mean));
}

const length = (a: readonly number[]): number => sqrt(a.reduce((sum, x) => sum + x * x, 0));
const angle = (a: readonly number[], b: readonly number[]): number =>
  Math.acos(Math.min(1, a.reduce((sum, x, i) => sum + x * b[i], 0) / (length(a) * length(b))));

describe('at the rim of', () => {
  // The normal of a cylinder or sphere points along the radius: closed form.
  test.each([8, 24])('a half-round channel of %d facets, where the mean lags by half a facet', (facets) => {
    const part = readyPart(shapes.channel(2, 20, facets));
    const rim = cornersWhere(
      part,
      ([x, , z], mean) => abs(abs(x) - 2) < 1e-6 && abs(z) < 1e-6 && abs(mean[1]) < 0.5 && mean[2] < 0.9,
    );
    expect(rim.length).toBeGreaterThan(3);
    for (const {
      place: [x],
      normal,
    } of rim)
      expect(angle(normal, [-x, 0, 0])).toBeLessThan(0.02 * (PI / (2 * facets)));
  });

  test.each([16, 32])('a spherical pocket of %d segments', (segments) => {
    const part = readyPart(shapes.sphericalPocket(6, segments));
    const rim = cornersWhere(
      part,
      ([x, y, z], mean) => abs(sqrt(x * x + y * y) - 6) < 1e-6 && abs(z) < 1e-6 && mean[2] < 0.9,
    );
    expect(rim.length).toBeGreaterThan(segments);
    for (const {
      place: [x, y],
      normal,
    } of rim)
      expect(angle(normal, [-x, -y, 0])).toBeLessThan(0.05 * (PI / segments));
  });

  test('planes: nothing is turned', () => {
    const part = readyPart(
      shapes.turned(shapes.boxPocket({ width: 30, length: 20, depth: 10, land: 6 }), 17.3),
    );
    expect(part.smooth.normals).toEqual(Float64Array.from(part.normals));
  });
});

describe('the true surface over a facet of', () => {
  const weights = [
    [1 / 3, 1 / 3, 1 / 3],
    [0.5, 0.5, 0],
    [0.1, 0.7, 0.2],
    [0.25, 0, 0.75],
  ];
  const worst = (
    part: ReadyPart,
    isRound: (mean: readonly number[], z: number) => boolean,
    off: (p: Float64Array) => number,
  ): number => {
    const { positions, triangles } = part.mesh;
    const out = new Float64Array(6);
    let most = 0,
      tried = 0;
    for (let f = 0; f < triangles.length / 3; f++) {
      const corners = [0, 1, 2].map((k) => [
        ...positions.subarray(3 * triangles[3 * f + k], 3 * triangles[3 * f + k] + 3),
      ]);
      const mean = [...part.normals.subarray(9 * f, 9 * f + 3)];
      if (!corners.every(([, , z]) => isRound(mean, z))) continue;
      tried++;
      for (const w of weights) {
        const [x, y, z] = [0, 1, 2].map((i) => corners.reduce((sum, corner, k) => sum + w[k] * corner[i], 0));
        onTrueSurface(part.smooth, f, x, y, z, out);
        most = Math.max(most, abs(off(out)));
      }
    }
    expect(tried).toBeGreaterThan(20);
    return most;
  };

  // Chords of a bore of radius R stand R (1 - cos(pi / n)) out of it; their places come back onto it to a
  // hundredth of that.
  test.each([24, 48])('a bore of %d facets lies on the cylinder', (segments) => {
    const chord = 5 * (1 - cos(PI / segments));
    const found = worst(
      readyPart(shapes.bore(5, 12, segments, true)),
      (mean, z) => abs(mean[2]) < 0.1 && Number.isFinite(z),
      (p) => (length([p[0], p[1]]) > 6 ? 0 : length([p[0], p[1]]) - 5),
    );
    expect(found).toBeLessThan(0.01 * chord);
    expect(chord).toBeGreaterThan(0.01);
  });

  test('a spherical pocket lies on the sphere', () => {
    const chord = 6 * (1 - cos(PI / 32));
    const found = worst(
      readyPart(shapes.sphericalPocket(6, 32)),
      (mean, z) => mean[2] < 0.999 && z <= 1e-9 && z > -5.9,
      (p) => (length([p[0], p[1], p[2]]) > 6.05 ? 0 : length([p[0], p[1], p[2]]) - 6),
    );
    expect(found).toBeLessThan(0.06 * chord);
  });
});
