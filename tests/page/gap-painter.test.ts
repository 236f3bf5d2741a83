import { beforeAll, expect, test } from 'vitest';
import { MODELS, modelBytes } from '../../models/catalogue.js';
import { gapBands } from '../../src/page/viewer/bands.js';
import { paintGaps } from '../../src/page/viewer/gap-painter.js';
import { pictureTree } from '../../src/page/viewer/picture-tree.js';
import { makeProbe } from '../../src/page/viewer/probe.js';
import { NO_FIT, NOT_COMPUTED } from '../../src/page/viewer/surface-material.js';
import { unpackView } from '../../src/page/viewer/unpack-view.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { readPart } from '../../src/read/read-part.js';
import { packView } from '../../src/write/pack-view.js';
import { truePlaces } from '../../src/part/sagittas.js';
import { viewData, type ViewData } from '../../src/write/view-data.js';
import { numberRegions } from '../../src/zones/number-regions.js';
import { reachOf } from '../support/pipeline.js';
import { roundPocket } from '../support/shapes.js';

const TOLERANCE = 0.02;
const RADII = [2, 4];
const NOT_ASKED = 255;
const { limits } = gapBands(TOLERANCE, true);
/** Of a gap next to a limit either band is right: this near to it, mm and as a share. */
const NEAR_MM = TOLERANCE / 4,
  NEAR_SHARE = 0.015;

/** A part's picture as it comes out of the report. */
async function pictureOf(corners: Float64Array) {
  const { part, reach } = await reachOf(corners, RADII, TOLERANCE);
  const { surface, labels, counts } = reach;
  const regions = numberRegions(surface, labels, facetNormals(surface.mesh).areas);
  const ridgeOfFace = new Uint8Array(labels.length);
  const gaps: ViewData['gaps'] = [];
  const packed = packView({
    ...viewData({
      surface,
      regionOfFace: regions.regionOfFace,
      counts: Float32Array.from(counts),
      ridgeOfFace,
      finisherOfFace: ridgeOfFace,
      places: truePlaces(surface, part.smooth),
    }),
    gaps,
  });
  const view = await unpackView(packed.base64, packed);
  const facts = { radiiMm: RADII, toleranceMm: TOLERANCE, stockMm: 0, mesh: packed };
  return { view, facts, probe: makeProbe(view, pictureTree(view, TOLERANCE), facts) };
}
type Picture = Awaited<ReturnType<typeof pictureOf>>;

const painted = ({ view, facts, probe }: Picture, radiusMm: number): Promise<Float32Array> =>
  new Promise((resolve) => {
    paintGaps(view, facts, probe, { id: '', RE: radiusMm }, (gaps, share) => {
      if (share === 1) resolve(gaps);
    });
  });

let pocket: Picture, soapDish: Picture;
beforeAll(async () => {
  pocket = await pictureOf(roundPocket({ segments: 96, filletFacets: 24 }));
  const { corners } = await readPart(modelBytes(MODELS[0]), { name: 'model.stl' });
  soapDish = await pictureOf(corners);
});

const bandOf = (gap: number): number =>
  gap >= NO_FIT ? limits.length + 1 : limits.filter((limit) => gap > limit).length;
/** Whether a value lies in the band of the true gap, or, next to a limit, in the one beyond. */
function isRight(value: number, gap: number): boolean {
  const off = NEAR_MM + NEAR_SHARE * gap;
  return bandOf(value) >= bandOf(gap - off) && bandOf(value) <= bandOf(gap + off);
}

// Closed form: beside floor and wall the ball's centre is its radius R from both, on a circle; a vertex at the
// distance r from the axis and the height z misses it by the distance from that circle less R. The largest gap is
// (sqrt(2) - 1) (R - 3).
test.each([
  [4, [0, 1, 3, 4]],
  [8, [0, 1, 2, 3, 4, 5, 6]],
] as const)(
  'round pocket, R %d: below the circle of centres the band of the closed form',
  async (R, bands) => {
    const ring = 20 - R,
      { view } = pocket;
    const gaps = await painted(pocket, R);
    const seen = new Set<number>(),
      wrong: string[] = [];
    for (let i = 0; i < gaps.length; i++) {
      const [x, y, z] = view.positions.subarray(3 * i, 3 * i + 3);
      const r = Math.sqrt(x * x + y * y);
      if (view.counts[i] === NOT_ASKED || r < ring || r > 20.01 || z > R) continue;
      const gap = Math.sqrt((r - ring) ** 2 + (z - R) ** 2) - R;
      seen.add(bandOf(gap));
      if (!isRight(gaps[i], gap)) wrong.push(`${x}, ${y}, ${z}: ${gaps[i]}, expected ${gap}`);
    }
    expect(wrong).toEqual([]);
    expect([...seen].sort()).toEqual(bands);
  },
);

// Radii that were surveyed, and others.
test.each([
  ['round pocket', 5, () => pocket],
  [MODELS[0].name, 3, () => soapDish],
  [MODELS[0].name, 4, () => soapDish],
] as const)('%s, R %d: the band of the exact gap at every third vertex', async (_, R, pictureNow) => {
  const { view, probe } = pictureNow(),
    gaps = await painted(pictureNow(), R);
  const wrong: string[] = [];
  let open = 0;
  for (let i = 0; i < gaps.length; i += 3) {
    if (view.counts[i] === NOT_ASKED) {
      expect(gaps[i]).toBe(0);
      continue;
    }
    const at = (values: Float64Array) => [values[3 * i], values[3 * i + 1], values[3 * i + 2]] as const;
    const reading = {
      point: at(view.positions),
      normal: at(view.normals),
      facet: 0,
      wallAngleRad: 0,
      region: 0,
    };
    const gap = Math.min(NO_FIT, probe.pose(reading, R).gapMm);
    if (gap > TOLERANCE) open++;
    if (!isRight(gaps[i], gap)) wrong.push(`${reading.point}: ${gaps[i]}, expected ${gap}`);
  }
  expect(wrong).toEqual([]);
  expect(open).toBeGreaterThan(300);
});

test('what is not yet computed is told as such, never as reached, and nothing of it is left at the end', async () => {
  const { view, facts, probe } = soapDish;
  const shown: Float32Array[] = [];
  await new Promise<void>((resolve) => {
    paintGaps(view, facts, probe, { id: '', RE: 2 }, (gaps, share) => {
      shown.push(gaps.slice());
      if (share === 1) resolve();
    });
  });
  expect(shown.length).toBeGreaterThan(1);
  const last = shown[shown.length - 1];
  const off = shown.map((gaps) => gaps.findIndex((gap, i) => gap !== last[i] && gap !== NOT_COMPUTED));
  expect(off).toEqual(shown.map(() => -1));
  const open = shown.map((gaps) => gaps.filter((gap) => gap === NOT_COMPUTED).length);
  expect(open[0]).toBeGreaterThan(0);
  expect(open[open.length - 1]).toBe(0);
});

test('gaps that the report holds are shown at once', () => {
  const { view, facts, probe } = pocket;
  const bands = Uint8Array.from(view.counts, (_, i) => i % 3);
  const shown: [Float32Array, number][] = [];
  const known = { ...view, gaps: [{ cutterId: 'B8', bands }] };
  paintGaps(known, facts, probe, { id: 'B8', RE: 4 }, (gaps, share) => shown.push([gaps, share]));
  expect(shown.map(([gaps, share]) => [[...gaps].map(bandOf), share])).toEqual([[[...bands], 1]]);
});
