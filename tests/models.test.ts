import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { figuresJson, modelBytes, MODELS, type ModelFigures } from '../models/catalogue.js';
import { filletArc, rollingBall, type Wall } from '../models/rolling-ball.js';
import { areaWhere, measureSoup } from './support/shapes.js';

const folder = new URL('../models/', import.meta.url);
const committed = (name: string): Uint8Array => new Uint8Array(readFileSync(new URL(name, folder)));
const text = readFileSync(new URL('figures.json', folder), 'utf8');
const figures = (JSON.parse(text) as { models: ModelFigures[] }).models;

/**
 * Corners of a binary STL of our own: 84 bytes, then 50 per triangle, the first 12 of which are the normal.
 */
function cornersOf(bytes: Uint8Array): Float64Array {
  const view = new DataView(bytes.buffer, bytes.byteOffset);
  const corners = new Float64Array(9 * view.getUint32(80, true));
  for (let i = 0; i < corners.length; i++) {
    corners[i] = view.getFloat32(84 + 50 * Math.floor(i / 9) + 12 + 4 * (i % 9), true);
  }
  return corners;
}

/** Plan area of the triangles that face down, the part's lowest level apart, mm². */
function overhangPlanArea(corners: Float64Array, lowest: number): number {
  let twice = 0;
  for (let i = 0; i < corners.length; i += 9) {
    const [ax, ay, az, bx, by, bz, cx, cy, cz] = corners.subarray(i, i + 9);
    const z = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
    if (z < 0 && Math.max(az, bz, cz) > lowest) twice -= z;
  }
  return twice / 2;
}

test('figures.json is what the makers give', () => {
  expect(figuresJson()).toBe(text);
});

describe.each(MODELS.map((model): [string, (typeof MODELS)[number]] => [model.name, model]))(
  '%s',
  (name, model) => {
    const bytes = committed(`${name}.stl`);
    const corners = cornersOf(bytes);
    const known = figures.find(({ file }) => file === `${name}.stl`);
    if (!known) throw new Error(`figures.json lacks ${name}`);
    const measured = measureSoup(corners);

    test('the maker makes the committed bytes', () => {
      expect(bytes.length).toBe(84 + 50 * known.triangles);
      expect(Buffer.compare(modelBytes(model), bytes)).toBe(0);
    });

    test('is closed, wound outwards, without degenerate triangles, of a realistic size', () => {
      expect(measured.unmatchedEdges).toBe(0);
      expect(measured.degenerate).toBe(0);
      expect(measured.volume).toBeGreaterThan(0);
      expect(known.triangles).toBeGreaterThanOrEqual(5000);
      expect(known.triangles).toBeLessThanOrEqual(60000);
    });

    test('measures as figures.json says, and near the true surface', () => {
      expect(measured.volume).toBeCloseTo(known.volumeMm3, 3);
      expect(measured.area).toBeCloseTo(known.areaMm2, 3);
      expect([...measured.min, ...measured.max]).toEqual([...known.boundsMm.min, ...known.boundsMm.max]);
      // Facets lie within the chord tolerance of the surface, so volumes differ by less than area times
      // tolerance.
      expect(Math.abs(measured.volume - known.trueVolumeMm3)).toBeLessThan(known.trueAreaMm2 * 0.015);
      expect(measured.area / known.trueAreaMm2).toBeCloseTo(1, 2.5);
    });

    test('fills the block it was designed in', () => {
      known.blockMm.forEach((size, a) => {
        // A rounded crest may lie between two vertices, at most the chord tolerance above them.
        expect(Math.abs(measured.max[a] - measured.min[a] - size)).toBeLessThan(0.015);
      });
    });

    test('overhangs by as much as it was designed to', () => {
      const got = overhangPlanArea(corners, measured.min[2]);
      // Float32 tilts a vertical wall by a hair, hence the absolute term.
      expect(Math.abs(got - known.overhangPlanMm2)).toBeLessThan(0.005 * known.overhangPlanMm2 + 0.01);
    });

    // Closed forms of rounded rectangles and circles at the inset that the construction gives (Euclidean
    // plane geometry).
    test.each(known.levelFaces.map((face): [string, number, number] => [face.name, face.zMm, face.areaMm2]))(
      'level face %s at z %d: %d mm²',
      (_, z, area) => {
        const got = areaWhere(corners, (centroid, n) => Math.abs(centroid[2] - z) < 1e-5 && n[2] > 1 - 1e-9);
        // The loops round a face are polygons in its circles, off by less than the chord tolerance along
        // their length.
        expect(Math.abs(got - area)).toBeLessThan(0.015 * 4 * Math.sqrt(Math.max(area, 100) * Math.PI));
      },
    );
  },
);

// A ball rolling in a valley touches both sides at its radius, and its path's section is a circle
// (definition). Walls: pocket and boss; stations: a corner, a straight, the axis; r < 0 is a rounded edge
// with the ball inside.
test.each<[string, Wall, number, [number, number], [number, number]]>([
  ['pocket corner', { side: 1, draftDeg: 3, at0: 15 }, 6, [26, 10], [0.6, 0.8]],
  ['pocket straight', { side: 1, draftDeg: 3, at0: 15 }, 6, [-26, 4], [-1, 0]],
  ['boss foot', { side: -1, draftDeg: 5, at0: 5.9 }, 1, [0, 0], [0, 1]],
  ['rounded shoulder', { side: -1, draftDeg: 2, at0: 24 }, -8, [0, 0], [0.8, -0.6]],
])('rolling ball in a %s touches wall and dome at its radius', (_, wall, r, base, normal) => {
  const dome = { z: -324, radius: 300 };
  const distance = (p: readonly number[], q: readonly number[]): number =>
    Math.sqrt(p.reduce((sum, x, a) => sum + (x - q[a]) ** 2, 0));
  const contact = rollingBall({ base, normal }, wall, dome, r);
  const { centre, onWall, onDome } = contact;
  const reach = (onWall[0] - base[0]) * normal[0] + (onWall[1] - base[1]) * normal[1];
  const slope = wall.side * Math.tan((wall.draftDeg * Math.PI) / 180);
  expect(reach).toBeCloseTo(wall.at0 + slope * onWall[2], 9);
  const along = (centre[0] - onWall[0]) * normal[0] + (centre[1] - onWall[1]) * normal[1];
  expect(along * slope + centre[2] - onWall[2]).toBeCloseTo(0, 9);
  expect(Math.sign(along)).toBe(-wall.side * Math.sign(r));
  expect(distance(onDome, [0, 0, dome.z])).toBeCloseTo(dome.radius, 9);
  expect(distance(centre, [0, 0, dome.z])).toBeCloseTo(dome.radius + r, 9);
  const arc = filletArc(contact, 5);
  for (const p of arc) expect(distance(p, centre)).toBeCloseTo(Math.abs(r), 9);
  for (let k = 1; k < 5; k++) {
    expect(distance(arc[k], arc[k + 1])).toBeCloseTo(distance(arc[0], arc[1]), 9);
  }
});
