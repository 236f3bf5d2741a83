import { beforeAll, expect, test } from 'vitest';
import { loadClipper, type Clipper } from '../../src/outlines/clipper.js';
import { traceRings } from '../../src/outlines/trace-rings.js';
import {
  distanceToRings,
  evenOddArea,
  expectGoodRings,
  farthest,
  polygonsOf,
  signedArea,
} from '../support/check-rings.js';
import { gridMesh, revolvedMesh, steps, withTopology, type LabelledMesh } from '../support/labelled-mesh.js';

let clipper: Clipper;
beforeAll(async () => {
  clipper = await loadClipper();
});

const EXACT = { toleranceMm: 0, crackMm: 0.02 };
const trace = (
  { mesh, topology }: LabelledMesh,
  labels: ArrayLike<number>,
  options = { toleranceMm: 0.01, crackMm: 0.02 },
) => traceRings(mesh, topology, labels, clipper, options);

/** Plan area of the faces of one label by half the cross product, facet by facet. */
function planArea(
  { mesh: { positions: p, triangles: t } }: LabelledMesh,
  labels: ArrayLike<number>,
  label: number,
): number {
  let sum = 0;
  for (let f = 0; f < labels.length; f++) {
    if (labels[f] !== label) continue;
    const [a, b, c] = [t[3 * f], t[3 * f + 1], t[3 * f + 2]].map((v) => 3 * v);
    sum += ((p[b] - p[a]) * (p[c + 1] - p[a + 1]) - (p[c] - p[a]) * (p[b + 1] - p[a + 1])) / 2;
  }
  return Math.abs(sum);
}

/**
 * A dome of radius `R` cut where the wall angle is `deg`, label 0 inside and 1 outside, down to 80 degrees.
 */
function dome(R: number, deg: number, segments: number, bands = 40) {
  const rad = [...steps(bands, deg / bands), ...steps(bands, (80 - deg) / bands, deg).slice(1)].map(
    (d) => (d * Math.PI) / 180,
  );
  const made = revolvedMesh(
    rad.map((t) => R * Math.sin(t)),
    rad.map((t) => R * Math.cos(t)),
    segments,
  );
  return { ...made, labels: made.bandOfFace.map((band) => (band < bands ? 0 : 1)) };
}

// Isophotes of a sphere: the plan circle of radius R sin t about the pole (plain trigonometry).
test.each([
  [10, 30],
  [10, 45],
  [25, 40],
  [2, 45],
])('sphere R%d cut at %d degrees: circle R sin t', (R, deg) => {
  const cap = dome(R, deg, 360);
  const { outlines } = trace(cap, cap.labels);
  expectGoodRings(outlines);
  const [circle, ...more] = polygonsOf(outlines, 0);
  expect(more).toEqual([]);
  expect(signedArea(circle)).toBeGreaterThan(0);
  const radius = R * Math.sin((deg * Math.PI) / 180);
  for (const [x, y] of circle) expect(Math.sqrt(x * x + y * y)).toBeCloseTo(radius, 9);
  // Both ways, and the 0.1 % of the plan area.
  const exact = [
    Array.from(
      { length: 720 },
      (_, i) => [radius * Math.cos((i * Math.PI) / 360), radius * Math.sin((i * Math.PI) / 360)] as const,
    ),
  ];
  expect(farthest([circle], exact)).toBeLessThan(0.0104);
  expect(farthest(exact, [circle])).toBeLessThan(0.0104);
  expect(signedArea(circle) / planArea(cap, cap.labels, 0)).toBeCloseTo(1, 3);
  for (const z of outlines.heights) expect(z).toBeLessThanOrEqual(R * Math.cos((deg * Math.PI) / 180) + 1e-9);
  // The ring around is the outer rim with that very circle as its hole.
  const around = polygonsOf(outlines, 1);
  expect(around.map((ring) => Math.sign(signedArea(ring)))).toEqual([1, -1]);
  expect(new Set(around[1].map(String))).toEqual(new Set(circle.map(String)));
});

// Isophotes of a torus fillet in a round pocket: plan circles of radius Rm + r sin t (tube r, tube-centre
// circle Rm).
test.each([20, 45, 70])('torus fillet Rm 17, r 3 cut at %d degrees: circle Rm + r sin t', (deg) => {
  const rad = [...steps(12, deg / 12), ...steps(12, (90 - deg) / 12, deg).slice(1)].map(
    (d) => (d * Math.PI) / 180,
  );
  const fillet = revolvedMesh(
    rad.map((t) => 17 + 3 * Math.sin(t)),
    rad.map((t) => 3 - 3 * Math.cos(t)),
    360,
  );
  const labels = fillet.bandOfFace.map((band) => (band < 12 ? 0 : 1));
  const { outlines } = trace(fillet, labels);
  expectGoodRings(outlines);
  const [outer, inner] = polygonsOf(outlines, 0);
  const exact = (radius: number) => [
    Array.from(
      { length: 720 },
      (_, i) => [radius * Math.cos((i * Math.PI) / 360), radius * Math.sin((i * Math.PI) / 360)] as const,
    ),
  ];
  for (const [ring, radius] of [
    [outer, 17 + 3 * Math.sin((deg * Math.PI) / 180)],
    [inner, 17],
  ] as const) {
    expect(farthest([ring], exact(radius))).toBeLessThan(0.0104);
    expect(farthest(exact(radius), [ring])).toBeLessThan(0.0104);
  }
});

// Isophotes of a level cylinder: straight lines at R sin t beside its axis.
test('level cylinder R 10 cut at 44 degrees: straight lines, no point more than their ends', () => {
  const [c, s] = [Math.cos(0.3), Math.sin(0.3)];
  const angles = steps(40, 4, -80).map((d) => (d * Math.PI) / 180);
  const grid = gridMesh(
    steps(30),
    angles.map((t) => t),
  );
  const positions = grid.mesh.positions.slice();
  for (let v = 0; v < positions.length; v += 3) {
    const [x, t] = grid.mesh.positions.subarray(v, v + 2);
    const across = 10 * Math.sin(t);
    positions.set([c * x - s * across, s * x + c * across, 10 * Math.cos(t)], v);
  }
  const cut = Int32Array.from({ length: 2400 }, (_, f) =>
    Math.abs(angles[Math.floor(f / 60)] + 0.035) < (44.1 * Math.PI) / 180 ? 0 : 1,
  );
  const { outlines, curves } = trace({ ...grid, mesh: { ...grid.mesh, positions } }, cut);
  expectGoodRings(outlines);
  const [strip] = polygonsOf(outlines, 0);
  // In plan four corners are enough; in space the ends of the strip are arches.
  expect(strip).toHaveLength(4);
  const arches = [...curves.closed.keys()].filter((i) => curves.start[i + 1] - curves.start[i] > 10);
  expect(arches.length).toBeGreaterThanOrEqual(2);
  for (const [x, y] of strip)
    expect(Math.abs(c * y - s * x)).toBeCloseTo(10 * Math.sin((44 * Math.PI) / 180), 9);
});

test('as few points as the tolerance allows: no more than a tenth above the regular polygon of that sagitta', () => {
  const cap = dome(40, 45, 3600, 6);
  const [circle] = polygonsOf(trace(cap, cap.labels).outlines, 0);
  // Sagitta of a regular n-gon: R (1 - cos(pi / n)).
  const radius = 40 * Math.SQRT1_2;
  const fewest = Math.PI / Math.acos(1 - 0.01 / radius);
  expect(circle.length).toBeLessThanOrEqual(Math.ceil(1.1 * fewest));
  expect(circle.length).toBeGreaterThanOrEqual(Math.floor(fewest));
});

test('three regions that meet at a point share their borders: plan areas add up, no gap and no overlap', () => {
  // Wavy borders through the middle of a fine grid, so that every chain is simplified.
  const grid = gridMesh(steps(60, 0.5), steps(60, 0.5), (x, y) => 0.05 * x * y);
  const labels = Array.from({ length: 7200 }, (_, f) => {
    const x = 0.5 * ((f >> 1) % 60) + 0.25,
      y = 0.5 * Math.floor((f >> 1) / 60) + 0.25;
    if (y < 12 + 3 * Math.sin(x / 2)) return 2;
    return x < 15 + 2 * Math.cos(y) ? 0 : 1;
  });
  const { outlines, findings } = trace(grid, labels, { toleranceMm: 0.3, crackMm: 0.02 });
  expectGoodRings(outlines);
  const areas = [0, 1, 2].map((label) => evenOddArea(polygonsOf(outlines, label)));
  expect(areas[0] + areas[1] + areas[2]).toBeCloseTo(900, 9);
  areas.forEach((area, label) => expect(area / planArea(grid, labels, label)).toBeCloseTo(1, 3));
  expect(findings.map((one) => one.code)).toEqual(['outlines.open-border']);
});

test('a region that touches itself at a vertex is split into simple rings', () => {
  const grid = gridMesh(steps(4), steps(4));
  const cells = '0110 1001 0110 0000'.split(' ').reverse().join('');
  const { outlines } = trace(
    grid,
    [...cells].flatMap((c) => [Number(c), Number(c)]),
    EXACT,
  );
  expectGoodRings(outlines);
  // Four blobs that meet at corners: each gets a ring of its own, rather than one around them with a hole.
  expect(polygonsOf(outlines, 1).map(signedArea).sort()).toEqual([1, 1, 2, 2]);
  expect(evenOddArea(polygonsOf(outlines, 0))).toBeCloseTo(10, 12);
});

test('vertical wall: no ring in plan, but two curves in space; the floor and the top keep theirs', () => {
  // Round pocket of radius 8 in a disc of radius 20, wall from z = 0 up to 12.
  const pocket = revolvedMesh([0, 8, 8, 20], [0, 0, 12, 12], 96);
  const { outlines, curves } = trace(pocket, pocket.bandOfFace);
  expectGoodRings(outlines);
  expect([...new Set(outlines.regionOfRing)]).toEqual([0, 2]);
  expect([...curves.closed]).toEqual([1, 1, 1]);
  const heights = [0, 1].map((c) => curves.points[3 * curves.start[c] + 2]);
  expect(heights.sort((a, b) => a - b)).toEqual([0, 12]);
});

test('drafted wall of half a degree: a narrow but true band', () => {
  const draft = 12 * Math.tan(Math.PI / 360);
  const pocket = revolvedMesh([0, 8, 8 + draft, 20], [0, 0, 12, 12], 96);
  const { outlines } = trace(pocket, pocket.bandOfFace);
  expectGoodRings(outlines);
  const band = polygonsOf(outlines, 1);
  expect(band).toHaveLength(2);
  expect(evenOddArea(band) / planArea(pocket, pocket.bandOfFace, 1)).toBeCloseTo(1, 3);
});

test('a wall that leans out and in again crosses itself in plan: what it covers is left, simple', () => {
  const bend = revolvedMesh([5, 6, 5.5, 7], [0, 4, 8, 12], 64);
  const { outlines } = trace(bend, new Int32Array(bend.bandOfFace.length));
  expectGoodRings(outlines);
  // Covered: the annulus from 5 to 7, as 64-gons (area n/2 r^2 sin(2 pi / n)).
  const gon = (r: number) => 32 * r * r * Math.sin(Math.PI / 32);
  // Untangled rings may be drawn in by 0.0002 mm.
  expect(Math.abs(evenOddArea(polygonsOf(outlines)) - gon(7) + gon(5))).toBeLessThan(
    0.0002 * 2 * Math.PI * 12,
  );
  // A half-turned copy of a saddle ramp: two flights of one surface, one above the other.
  const twist = gridMesh(steps(24), steps(2), (x) => x);
  const positions = twist.mesh.positions.slice();
  for (let v = 0; v < positions.length; v += 3) {
    const angle = (twist.mesh.positions[v] / 24) * 3 * Math.PI,
      radius = 6 - twist.mesh.positions[v + 1];
    positions.set([radius * Math.cos(angle), radius * Math.sin(angle)], v);
  }
  const stair = { ...twist, mesh: { ...twist.mesh, positions } };
  const flights = trace(stair, new Int32Array(96));
  expectGoodRings(flights.outlines);
  // One turn and a half of 16 sides each of the full circle cover the whole annulus once.
  const side = (r: number) => 8 * r * r * Math.sin(Math.PI / 8);
  expect(Math.abs(evenOddArea(polygonsOf(flights.outlines)) - side(6) + side(4))).toBeLessThan(
    0.0002 * 2 * Math.PI * 10,
  );
});

test('a surface seen from below comes out the right way round', () => {
  const cap = dome(10, 45, 48, 4);
  const below = withTopology({
    positions: cap.mesh.positions,
    triangles: cap.mesh.triangles.map((_, i, all) => all[i - (i % 3) + 2 - (i % 3)]),
  });
  const { outlines } = trace(below, cap.labels);
  expectGoodRings(outlines);
  expect(evenOddArea(polygonsOf(outlines, 0)) / planArea(below, cap.labels, 0)).toBeCloseTo(1, 3);
});

test('cracks are crossed: two halves that share no vertex, moved apart by 0.01, with other points along the seam', () => {
  // Left half: 10 cells along the seam; right half: 7. Region 1 is a patch across the seam, region 0 the
  // rest.
  const left = gridMesh(steps(10), steps(10)),
    right = gridMesh(steps(10, 1, 10.01), steps(7, 10 / 7));
  const shift = left.mesh.positions.length / 3;
  const made = withTopology({
    positions: Float64Array.from([...left.mesh.positions, ...right.mesh.positions]),
    triangles: Uint32Array.from([...left.mesh.triangles, ...[...right.mesh.triangles].map((v) => v + shift)]),
  });
  const labels = Array.from({ length: made.mesh.triangles.length / 3 }, (_, f) => {
    const p = [0, 1, 2].map((k) => 3 * made.mesh.triangles[3 * f + k]);
    const x = p.reduce((s, v) => s + made.mesh.positions[v], 0) / 3,
      y = p.reduce((s, v) => s + made.mesh.positions[v + 1], 0) / 3;
    return x > 6 && x < 14 && y > 20 / 7 && y < 50 / 7 ? 1 : 0;
  });
  const { outlines, findings } = trace(made, labels);
  expectGoodRings(outlines);
  expect(findings.map((one) => one.code)).toEqual(['outlines.crack-bridged', 'outlines.open-border']);
  expect(polygonsOf(outlines, 1)).toHaveLength(1);
  expect(polygonsOf(outlines, 0).map((ring) => Math.sign(signedArea(ring)))).toEqual([1, -1]);
  expect(evenOddArea(polygonsOf(outlines))).toBeCloseTo(20.01 * 10, 6);
  // The rim runs straight over the seam: nothing of it lies further than the crack from the rectangle.
  const frame = [
    [
      [0, 0],
      [20.01, 0],
      [20.01, 10],
      [0, 10],
    ] as const,
  ];
  const [rim] = polygonsOf(outlines, 0);
  for (const point of rim) expect(distanceToRings(point, frame)).toBeLessThan(0.02);
});

test('moved 10 m away and turned by an awkward angle: the same rings, moved and turned', () => {
  const cap = dome(10, 45, 120, 6);
  const [c, s] = [Math.cos(0.7), Math.sin(0.7)];
  const positions = cap.mesh.positions.slice();
  for (let v = 0; v < positions.length; v += 3) {
    const [x, y] = cap.mesh.positions.subarray(v, v + 2);
    positions.set([c * x - s * y + 1e4, s * x + c * y - 1e4], v);
  }
  const there = trace({ ...cap, mesh: { ...cap.mesh, positions } }, cap.labels).outlines;
  expectGoodRings(there);
  const here = polygonsOf(trace(cap, cap.labels).outlines);
  const back = polygonsOf(there).map((ring) =>
    ring.map(([x, y]) => {
      const [dx, dy] = [x - 1e4, y + 1e4];
      return [c * dx + s * dy, -s * dx + c * dy] as const;
    }),
  );
  expect(farthest(back, here)).toBeLessThan(0.0201);
  expect(farthest(here, back)).toBeLessThan(0.0201);
});

test.each([1, 2, 3, 4, 5, 6])(
  'speckled labels on a sheet that folds over itself in plan: good rings (seed %d)',
  (seed) => {
    let state = seed;
    const random = () => {
      state = (state * 48271) % 2147483647;
      return state / 2147483647;
    };
    for (let i = 0; i < 20; i++) random();
    const sheet = gridMesh(steps(20), steps(20), (x, y) => 4 * Math.sin(x) + y);
    const fold = seed / 3;
    const positions = sheet.mesh.positions.map((value, i) =>
      i % 3 === 0 ? value + fold * Math.sin(2 * value) : value,
    );
    const labels = Array.from({ length: 800 }, () => Math.floor(3 * random()));
    const { outlines } = trace({ ...sheet, mesh: { ...sheet.mesh, positions } }, labels);
    expectGoodRings(outlines);
    expect(new Set(outlines.regionOfRing).size).toBe(3);
    if (fold > 0.5) return;
    // Not folded yet: the plan areas are those of the facets.
    for (const label of [0, 1, 2]) {
      const exact = planArea({ ...sheet, mesh: { ...sheet.mesh, positions } }, labels, label);
      expect(Math.abs(evenOddArea(polygonsOf(outlines, label)) / exact - 1)).toBeLessThan(1e-3);
    }
  },
);

// A band 0.02 wide between a circle of 20 and a wavy line: as area it is what its facets are, whatever points
// are left out.
test('a narrow region keeps its plan area within 0.1 %', () => {
  const { mesh, topology, bandOfFace } = revolvedMesh([15, 20, 20.02, 25], [0, 0, 0, 0], 1500);
  const positions = mesh.positions.map((value, i) => {
    const v = Math.floor(i / 3),
      wave = 1 + (0.006 / 20.02) * Math.sin((60 * 2 * Math.PI * v) / 1500);
    return v >= 3000 && v < 4500 && i % 3 < 2 ? value * wave : value;
  });
  const waved = { mesh: { positions, triangles: mesh.triangles }, topology };
  const { outlines } = trace(waved, bandOfFace);
  expect(Math.abs(evenOddArea(polygonsOf(outlines, 1)) / planArea(waved, bandOfFace, 1) - 1)).toBeLessThan(
    0.001,
  );
  // Points were left out all the same.
  expect(outlines.points.length / 2).toBeLessThan(0.7 * 6 * 1500);
});

test('refuses lengths that do not agree', () => {
  const grid = gridMesh(steps(2), steps(2));
  expect(() => trace(grid, [0])).toThrow(RangeError);
});
