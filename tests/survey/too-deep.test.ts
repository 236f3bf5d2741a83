import { expect, test } from 'vitest';
import { ballProfile } from '../../src/cutter/cutter-profile.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import type { ReachAnalysis } from '../../src/survey/analyse-reach.js';
import { cornersCutBy, leftTogether, type Candidate } from '../../src/survey/ladder-candidates.js';
import type { StickoutProbe } from '../../src/survey/ladder-stickout.js';
import { withinLength, withoutSlender, type LengthLimit } from '../../src/survey/too-deep.js';
import { seededRandom } from '../reach/random.js';
import { gridMesh } from '../support/labelled-mesh.js';

// A made-up surface of facets from 0.000005 to 0.05 mm² (what is listed begins at 0.01), on which balls of DC 8, 4, 2 and 1
// get into random places, one inside the other's, and two flat ends, too wide ever to be slender, into places of their own. A cutter
// must stick out as far as the corner that it touches is deep, whichever it is.
const [CELLS, MOST] = [14, 5];
const BALLS = [8, 4, 2, 1],
  FLATS = [6, 4];

function made(seed: number) {
  const random = seededRandom(seed);
  const lines = (): number[] => {
    const at = [0];
    while (at.length <= CELLS) at.push(at[at.length - 1] + 0.3 * 10 ** (-2 * random()));
    return at;
  };
  const { mesh, topology } = gridMesh(lines(), lines());
  const { areas } = facetNormals(mesh);
  const { triangles, positions } = mesh;
  const labels = Uint8Array.from(areas, () => (random() < 0.05 ? 7 : 3));
  // Depth by corner, not by vertex: at a crease each side asks for another stickout.
  const depthAt = positions.map(() => 15 * random());
  const depths = Float64Array.from(triangles, (v) => depthAt[v] + random());
  const largest = Float64Array.from({ length: positions.length / 3 }, () =>
    random() < 0.9 ? 8 : 0.5 + 7 * random() ** 3,
  );
  const candidate = (DC: number, isFlat: boolean): Candidate => {
    const counts = Uint8Array.from(largest, (own) => Number(isFlat ? random() < 0.2 : own >= DC));
    const share = Float64Array.from(
      areas,
      (_, f) => [0, 1, 2].filter((k) => counts[triangles[3 * f + k]] === 0).length / 3,
    );
    const cutter = { id: `${isFlat ? 'flat' : 'ball'}-${DC}`, DC } as Candidate['cutter'];
    const profile = ballProfile(DC / 2);
    return { cutter, profile, counts, index: 0, share, larger: share, unreachedAreaMm2: 0, border: null };
  };
  const reachRadii = largest.map((DC) => DC / 2);
  const surface = { mesh, topology };
  const reach = { surface, labels, areas, reachRadii, counts: new Uint8Array(largest.length) };
  const lengthToDiameter = (DC: number, corners: readonly number[]): number =>
    corners.reduce((most, h) => Math.max(most, depths[h] / DC), 0);
  const probe = {
    atCorners: ({ DC }, corners) => ({ lengthToDiameter: lengthToDiameter(DC, corners) }),
  } as Pick<StickoutProbe, 'atCorners'> as StickoutProbe;
  const limit: LengthLimit = {
    reach: reach as unknown as ReachAnalysis,
    probe,
    mostLengthToDiameter: MOST,
  };
  return {
    limit,
    balls: BALLS.map((DC) => candidate(DC, false)),
    flats: FLATS.map((DC) => candidate(DC, true)),
    random,
  };
}

test('no cutter of any ladder sticks out more than the limit where it cuts, 60 surfaces, seed 1', () => {
  let slender = 0;
  for (let seed = 1; seed <= 60; seed++) {
    const { limit, balls, flats, random } = made(seed);
    const worst = (own: Candidate, before: readonly Candidate[]): number =>
      limit.probe.atCorners(own.cutter, cornersCutBy(own, before, limit.reach)).lengthToDiameter;
    let all = [...flats, ...withinLength(balls, flats, limit).candidates];
    all.forEach((own, i) => {
      expect(worst(own, all.slice(0, i))).toBeLessThanOrEqual(MOST);
    });
    slender += Number(balls.some((own, i) => worst(own, balls.slice(0, i)) > MOST));
    const path = [...all.keys()].filter(() => random() < 0.6);
    for (let less = withoutSlender(all, path, limit); less; less = withoutSlender(all, path, limit))
      all = [...less];
    path.forEach((at, i) => {
      const before = path.slice(0, i).map((other) => all[other]);
      expect(worst(all[at], before)).toBeLessThanOrEqual(MOST);
    });
  }
  expect(slender).toBeGreaterThan(30);
});

test('what is taken for its depth is in the list, or among what is too small for it, 20 surfaces, seed 61', () => {
  let unlisted = 0;
  for (let seed = 61; seed <= 80; seed++) {
    const { limit, balls } = made(seed);
    const { candidates, places, crumbs } = withinLength(balls, [], limit);
    const leftMm2 = (some: readonly Candidate[]): number =>
      limit.reach.areas.reduce(
        (sum, area, f) => sum + (limit.reach.labels[f] === 3 ? area * leftTogether(some, f) : 0),
        0,
      );
    const toldMm2 = places.reduce((sum, { areaMm2 }) => sum + areaMm2, crumbs.areaMm2);
    expect(toldMm2).toBeCloseTo(leftMm2(candidates) - leftMm2(balls), 9);
    expect(crumbs.areaMm2 > 0).toBe(crumbs.count > 0);
    unlisted += crumbs.count;
  }
  expect(unlisted).toBeGreaterThan(10);
});
