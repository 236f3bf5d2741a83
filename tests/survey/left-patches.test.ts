import { expect, test } from 'vitest';
import { perCorner, perFace } from '../../src/core/array-types.js';
import { ballProfile, flatProfile } from '../../src/cutter/cutter-profile.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { CROSSING_STRIDE, POINT_STRIDE } from '../../src/reach/reach-kernels.js';
import type { ReachAnswers } from '../../src/reach/reach-engine.js';
import type { Candidate, CandidatesInput } from '../../src/survey/ladder-candidates.js';
import { leftPatches } from '../../src/survey/left-patches.js';
import { gridMesh } from '../support/labelled-mesh.js';

// A level square of 10 x 10 of which a ball of R 1 reaches what lies beyond x = 6, smaller ones beyond x = 6 R, and a flat
// end what lies before x = 4: between them no vertex was ever asked about.
const [SIDE, BALL_AT, FLAT_AT] = [10, 6, 4];
const engine: ReachAnswers = {
  run: ({ kind, items }) => {
    const isCrossing = kind === 'crossings' || kind === 'cutter-crossings',
      stride = isCrossing ? CROSSING_STRIDE : POINT_STRIDE;
    const answers = Float64Array.from({ length: items.length / stride }, (_, i) => {
      const x = items[stride * i];
      if (isCrossing) return ((kind === 'crossings' ? BALL_AT : FLAT_AT) - x) / (items[stride * i + 7] - x);
      if (kind === 'reach') return x < BALL_AT ? x / BALL_AT : Infinity;
      return x > FLAT_AT ? 0 : Infinity;
    });
    return Promise.resolve(answers);
  },
};

test('of what lies between two borders the ball radius is asked: it is no place that any ball fits', async () => {
  const { mesh, topology } = gridMesh([0, SIDE], [0, SIDE]);
  const normals = perCorner(Float64Array.from({ length: 18 }, (_, i) => (i % 3 === 2 ? 1 : 0)));
  const surface = { mesh, topology, normals, parent: perFace(Int32Array.of(0, 1)) };
  const x = Float64Array.from({ length: 4 }, (_, v) => mesh.positions[3 * v]);
  const candidate = (isFlat: boolean): Candidate =>
    ({
      profile: isFlat ? flatProfile(2) : ballProfile(1),
      counts: Uint8Array.from(x, (at) => Number(isFlat ? at <= FLAT_AT : at >= BALL_AT)),
      index: 0,
      share: Float64Array.of(0.5, 0.5),
      border: null,
      ...(isFlat ? { shapes: [] } : {}),
    }) as unknown as Candidate;
  const input = {
    reach: {
      surface,
      labels: new Uint8Array(2),
      areas: facetNormals(mesh).areas,
      counts: new Uint8Array(4),
      reachRadii: x.map((at) => (at < BALL_AT ? at / BALL_AT : Infinity)),
      radii: Float64Array.of(1),
    },
    setup: { stockMm: 0, toleranceMm: 0.02 },
    part: { mesh, normals, twin: topology.twin },
    engine,
  } as unknown as CandidatesInput;
  const { patches } = await leftPatches([candidate(false), candidate(true)], false, input, {});
  expect(patches).toHaveLength(1);
  const [{ areaMm2, reachRadiusMm, mostlyReachRadiusMm }] = patches;
  expect(areaMm2).toBeCloseTo(SIDE * (BALL_AT - FLAT_AT), 3);
  expect(reachRadiusMm).toBeCloseTo(FLAT_AT / BALL_AT, 3);
  expect(mostlyReachRadiusMm).toBeLessThanOrEqual(1);
});
