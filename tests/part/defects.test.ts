import { describe, expect, test } from 'vitest';
import type { Finding } from '../../src/core/findings.js';
import type { DefectPlace } from '../../src/part/defect-places.js';
import { prepareMesh } from '../../src/part/prepare.js';
import * as damage from '../support/damage.js';
import * as shapes from '../support/shapes.js';
import { soupOf } from '../support/soup-of.js';
import type { Point } from '../support/shapes/soup.js';

const checked = (corners: Float64Array) =>
  prepareMesh(soupOf(corners), { axis: [0, 0, 1], stand: false, inDetail: true });

/** Findings of the mesh by code, less what only tells of size and place. */
const told = (findings: readonly Finding[]): Record<string, number> =>
  Object.fromEntries(
    findings
      .filter(({ code }) => code.startsWith('mesh.') && code !== 'mesh.coarse-coordinates')
      .map(({ code, count }) => [code.slice(5), count]),
  );

/** Ball of 320 facets: its own facets 40, 97 and 205 share no vertex. */
const BALL = shapes.icosphere(10, 2);
const FACETS = [40, 97, 205];
const SOME = 97;

/** Findings, and how many places each has where that is not the count. */
interface Case {
  readonly corners: Float64Array;
  readonly codes: Record<string, number>;
  readonly places?: Record<string, number>;
  /** a point near which each place must lie, mm of the ball of radius 10 */
  readonly near?: readonly Point[];
  readonly within?: number;
}

const over = (f: number, out: number): Point => damage.offFacet(BALL, f, out);
const middles = FACETS.map((f) => over(f, 0));
const small = (at: Point, radius: number): Float64Array => shapes.moved(shapes.icosphere(radius, 1), [...at]);

const CASES: Record<string, Case> = {
  'a clean ball': { corners: BALL, codes: {} },
  'single facets missing': {
    corners: damage.punched(BALL, FACETS),
    codes: { 'open-edges': 9 },
    places: { 'open-edges': 3 },
    near: middles,
  },
  'facets written twice': {
    corners: damage.repeated(BALL, FACETS),
    codes: { duplicate: 3 },
    near: middles,
  },
  'facets without area': {
    corners: damage.withNeedles(BALL, FACETS),
    codes: { degenerate: 3 },
    near: middles,
  },
  'facets turned': { corners: damage.reversed(BALL, FACETS), codes: { flipped: 3 }, near: middles },
  'inside out': { corners: damage.reversed(BALL), codes: { 'inside-out': 1 } },
  'cracks of 2 micrometres': {
    corners: damage.cracked(BALL, FACETS, 0.002),
    codes: { 'cracks-joined': 3 },
    near: middles,
    within: 2.5,
  },
  'T-junctions': {
    corners: damage.halved(BALL, FACETS),
    codes: { 'cracks-joined': 0, 'edges-split': 3, 'open-edges': 0 },
    near: middles,
  },
  'fins on edges': {
    corners: damage.withFins(BALL, FACETS, 2),
    // A fin ends in the air: its two other sides are open, and bound no ring.
    codes: { 'non-manifold': 3, 'open-edges': 6, 'several-shells': 4 },
    places: { 'non-manifold': 3, 'open-edges': 3 },
    near: middles,
    within: 4,
  },
  'a spike that touches in a point': {
    corners: shapes.joined(BALL, damage.tetrahedron(damage.facetAt(BALL, SOME)[0], over(SOME, 5), 3)),
    codes: { 'non-manifold-vertices': 1, 'several-shells': 2 },
  },
  'a ball within': {
    corners: shapes.joined(BALL, small([3, 2, 1], 2)),
    codes: { 'nested-shells': 1, 'several-shells': 2 },
  },
  'a hollow': {
    corners: shapes.joined(BALL, damage.reversed(small([3, 2, 1], 2))),
    codes: { hollows: 1, 'several-shells': 2 },
  },
  'a ball in a hollow': {
    corners: shapes.joined(BALL, damage.reversed(small([3, 2, 1], 3)), small([3, 2, 1], 2)),
    // It stands in the open: nothing of it counts twice.
    codes: { hollows: 1, 'several-shells': 3 },
  },
  'a ball within one that is open': {
    corners: shapes.joined(damage.punched(BALL, FACETS), small([3, 2, 1], 2)),
    codes: { 'open-edges': 9, 'nested-shells': 1, 'several-shells': 2, 'unclosed-shells': 1 },
    places: { 'unclosed-shells': 1 },
  },
  'a ball beside one that is open': {
    corners: shapes.joined(damage.punched(BALL, FACETS), small(over(SOME, 25), 2)),
    codes: { 'open-edges': 9, 'several-shells': 2 },
  },
  'dust around': {
    corners: shapes.joined(BALL, ...FACETS.map((f) => small(over(f, 2), 0.005))),
    codes: { dust: 3, 'several-shells': 4 },
    near: FACETS.map((f) => over(f, 2)),
  },
};

/** Poses and sizes that keep what lies below the horizon there. */
const POSES: Record<string, (corners: Float64Array) => Float64Array> = {
  'as made': (corners) => corners,
  'turned, a hundredth of the size': (corners) => shapes.scaled(shapes.turned(corners, 37.31), 0.4),
  'far off, larger, facets permuted': (corners) =>
    shapes.permuted(shapes.moved(shapes.scaled(corners, 2.5), [300, -200, 150]), 20261),
};

describe.each(Object.keys(POSES))('%s', (pose) => {
  test.each(Object.keys(CASES))('%s', (name) => {
    const { corners, codes, places = {}, near, within = 1.5 } = CASES[name];
    const { findings, defects, health } = checked(POSES[pose](corners));
    const found = told(findings);
    // Marked 0: none, or folded into what comes of it.
    expect(found).toEqual(Object.fromEntries(Object.entries(codes).filter(([, count]) => count > 0)));
    const all: readonly DefectPlace[] = defects?.places ?? [];
    for (const [code, count] of Object.entries(places))
      expect(all.filter((place) => place.code === `mesh.${code}`).length, code).toBe(count);
    const scale = Math.cbrt(shapes.measureSoup(POSES[pose](BALL)).volume / shapes.measureSoup(BALL).volume);
    const posed = near === undefined ? [] : posedPoints(POSES[pose], near);
    if (pose !== 'far off, larger, facets permuted')
      for (const place of all.filter(({ code }) => near !== undefined && code !== 'mesh.several-shells')) {
        const nearest = Math.min(...posed.map((p) => Math.hypot(...p.map((x, k) => x - place.centreMm[k]))));
        expect(nearest, place.code).toBeLessThan(within * scale);
      }
    if (name !== 'a clean ball') expect(all.length).toBeGreaterThan(0);
    expect(health.closed).toBe(found['open-edges'] === undefined && found['non-manifold'] === undefined);
  });
});

/** Places as a pose puts them. */
const posedPoints = (pose: (corners: Float64Array) => Float64Array, points: readonly Point[]): number[][] => {
  const flat = pose(Float64Array.from(points.flatMap((p) => [...p, ...p, ...p])));
  return points.map((_, i) => [...flat.slice(9 * i, 9 * i + 3)]);
};

describe('a surface without a bottom', () => {
  const bottomless = (corners: Float64Array): Float64Array => {
    const lowest = Math.min(...corners.filter((_, i) => i % 3 === 2));
    const facets = Array.from({ length: corners.length / 9 }, (_, f) => damage.facetAt(corners, f));
    return damage.punched(
      corners,
      facets.flatMap((facet, f) => (facet.every(([, , z]) => z === lowest) ? [f] : [])),
    );
  };
  test.each([
    ['a box', shapes.box(60, 40, 20)],
    ['a plate with a pocket', shapes.roundPocket({ segments: 24, filletFacets: 3 })],
    ['the same, turned', shapes.turned(shapes.roundPocket({ segments: 24, filletFacets: 3 }), 20)],
  ])('%s: is fine, and that is said', (_, corners) => {
    const { findings } = checked(bottomless(corners));
    expect(told(findings)).toEqual({ 'open-below': 1 });
    expect(findings[0].severity).toBe('info');
  });

  test('a lid that is missing is a hole', () => {
    const box = shapes.box(60, 40, 20);
    const upside = box.map((x, i) => (i % 3 === 0 ? x : -x));
    expect(told(checked(bottomless(box).map((x, i) => (i % 3 === 0 ? x : -x))).findings)).toEqual({
      'open-edges': 4,
    });
    expect(told(checked(upside).findings)).toEqual({});
  });
});
