import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { CLASSES } from '../../src/core/classes.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { loadClipper } from '../../src/outlines/clipper.js';
import { readSvgOutlines } from '../../src/read/read-svg.js';
import { traceRings, type TracedBorders } from '../../src/outlines/trace-rings.js';
import { readPart } from '../../src/read/read-part.js';
import { outlinesSvg, classGroups } from '../../src/write/svg.js';
import type { ZonedSurface } from '../../src/zones/build-zones.js';
import { numberRegions, type NumberedRegions } from '../../src/zones/number-regions.js';
import { evenOddArea, expectGoodRings, farthest, polygonsOf, type Polygon } from '../support/check-rings.js';
import { withNoise } from '../support/noise.js';
import { readyPart, zonesOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { revolve } from '../support/shapes/sweeps.js';

const MODELS = ['bell-cover-core', 'clip-insert', 'latch-housing', 'soap-dish-cavity'];

interface Outlined {
  readonly zoned: ZonedSurface;
  readonly regions: NumberedRegions;
  readonly borders: TracedBorders;
}

async function outline(corners: Float64Array): Promise<Outlined> {
  const zoned = zonesOf(readyPart(corners), { minRegionMm2: 0.25 });
  const regions = numberRegions(zoned.surface, zoned.labels, facetNormals(zoned.surface.mesh).areas);
  return { zoned, regions, borders: await traced({ zoned, regions }, 0.01) };
}

async function traced(
  { zoned, regions }: Pick<Outlined, 'zoned' | 'regions'>,
  toleranceMm: number,
): Promise<TracedBorders> {
  const { mesh, topology } = zoned.surface;
  return traceRings(mesh, topology, regions.regionOfFace, await loadClipper(), {
    toleranceMm,
    crackMm: 0.02,
  });
}

async function modelCorners(name: string): Promise<Float64Array> {
  const bytes = readFileSync(new URL(`../../models/${name}.stl`, import.meta.url));
  return (await readPart(new Uint8Array(bytes), { name: `${name}.stl` })).corners;
}

/** Each model is outlined once. */
const outlines = new Map<string, Promise<Outlined>>();
function outlineOf(name: string): Promise<Outlined> {
  const found = outlines.get(name) ?? modelCorners(name).then(outline);
  outlines.set(name, found);
  return found;
}

describe.each(MODELS)('%s', (name) => {
  test('every ring is closed, simple, oriented, nested, and true to the border both ways', async () => {
    const { borders, regions, zoned } = await outlineOf(name);
    expectGoodRings(borders.outlines);
    const exact = (await traced({ zoned, regions }, 0)).outlines;
    const { normals, areas } = facetNormals(zoned.surface.mesh);
    for (const region of new Set(borders.outlines.regionOfRing)) {
      const rings = polygonsOf(borders.outlines, region),
        full = polygonsOf(exact, region);
      expect(farthest(rings, full), `region ${region}`).toBeLessThanOrEqual(0.05);
      expect(farthest(full, rings), `region ${region}`).toBeLessThanOrEqual(0.05);
      // Surface up to the overlap does not lie over itself: its plan area is the sum over facets.
      if (!['level', 'shallow', 'overlap'].includes(CLASSES[regions.classOf[region]])) continue;
      const plan = areas.reduce(
        (sum, area, f) =>
          regions.regionOfFace[f] === region ? sum + area * Math.abs(normals[3 * f + 2]) : sum,
        0,
      );
      expect(Math.abs(evenOddArea(rings) - plan), `region ${region}`).toBeLessThanOrEqual(
        0.001 * plan + 2e-4,
      );
    }
  }, 600_000);
});

// Without taking the noise out: along the split the tilts of neighbouring facets average out.
test('0.02 mm of noise puts no freckles along the split: as many overlap and steep regions, within 10 %', async () => {
  const corners = await modelCorners('soap-dish-cavity');
  const atSplit = ({ regions }: Outlined): number =>
    [...regions.classOf].filter((cls) => CLASSES[cls] === 'overlap' || CLASSES[cls] === 'steep').length;
  const clean = atSplit(await outlineOf('soap-dish-cavity')),
    noisy = atSplit(await outline(withNoise(corners, 0.02, 7)));
  expect(Math.abs(noisy - clean), `${noisy} of ${clean}`).toBeLessThanOrEqual(0.1 * clean);
}, 600_000);

// Border circles and lines of the split in plan: sphere R sin t; torus R ± r sin t; lying cylinder y = ± R
// sin t.
describe('analytic solids at fine facets, within 0.01 mm', () => {
  const pointsAt = (rings: readonly Polygon[], to: (x: number, y: number) => number): number =>
    Math.max(...rings.flat().map(([x, y]) => to(x, y)));
  const ringsOf = ({ borders, regions }: Outlined, cls: (typeof CLASSES)[number]): Polygon[] =>
    [...regions.classOf].flatMap((own, r) => (CLASSES[own] === cls ? polygonsOf(borders.outlines, r) : []));

  test('half ball R10: the overlap lies between circles 10 sin 45 and 10 sin 48', async () => {
    const rings = ringsOf(await outline(shapes.turned(shapes.hemisphere(10, 256), 7.7)), 'overlap');
    const radii = [45, 48].map((degrees) => 10 * Math.sin((degrees * Math.PI) / 180));
    expect(rings.length).toBe(2);
    expect(
      pointsAt(rings, (x, y) => Math.min(...radii.map((r) => Math.abs(Math.sqrt(x * x + y * y) - r)))),
    ).toBeLessThan(0.01);
  });

  test('ring of a torus, R 20, r 5: the overlap lies between circles 20 +- 5 sin 45 and 20 +- 5 sin 48', async () => {
    const profile = Array.from({ length: 129 }, (_, i): readonly [number, number] => {
      const angle = (i * Math.PI) / 128;
      return [20 + 5 * Math.cos(angle), 5 * Math.sin(angle)];
    });
    const closed: (readonly [number, number])[] = [[0, -2], [25, -2], ...profile, [15, -1], [0, -1]];
    const rings = ringsOf(await outline(revolve(closed, 256)), 'overlap');
    const radii = [45, 48].flatMap((degrees) =>
      [-5, 5].map((r) => 20 + r * Math.sin((degrees * Math.PI) / 180)),
    );
    expect(rings.length).toBe(4);
    expect(
      pointsAt(rings, (x, y) => Math.min(...radii.map((r) => Math.abs(Math.sqrt(x * x + y * y) - r)))),
    ).toBeLessThan(0.01);
  });

  test('cylinder R10 lying down: the overlap lies between lines 10 sin 45 and 10 sin 48 off the axis', async () => {
    const rings = ringsOf(await outline(shapes.lyingCylinder(10, 40, 256)), 'overlap');
    const lines = [45, 48].map((degrees) => 10 * Math.sin((degrees * Math.PI) / 180));
    expect(rings.length).toBe(2);
    const off = (axis: 0 | 1): number =>
      Math.max(
        ...rings
          .flat()
          .map((point) => Math.min(...lines.map((line) => Math.abs(Math.abs(point[axis]) - line)))),
      );
    expect(Math.min(off(0), off(1))).toBeLessThan(0.01);
  });
});

test('round trip: a region written as SVG and read back limits work to the same plan area within 0.1 %', async () => {
  const corners = await modelCorners('soap-dish-cavity');
  const { borders, regions } = await outlineOf('soap-dish-cavity');
  const clipper = await loadClipper();
  const shallow = [...regions.classOf].findIndex((cls) => CLASSES[cls] === 'shallow');
  const [wanted] = [polygonsOf(borders.outlines, shallow)];
  const svg = outlinesSvg({
    title: 't',
    description: 'd',
    boundsMm: { min: [-60, -40], max: [60, 40] },
    groups: classGroups(borders.outlines, regions.classOf),
  });
  const rings = readSvgOutlines(svg, clipper, {
    where: 'o.svg',
    only: `region-${shallow}`,
    toleranceMm: 0.002,
  });
  const { insideRings } = await import('../../src/outlines/within-mask.js');
  const limited = zonesOf(readyPart(corners), { inside: insideRings(rings) });
  const { areas, normals } = facetNormals(limited.surface.mesh);
  let plan = 0;
  limited.labels.forEach((label, f) => {
    if (label < 4 && normals[3 * f + 2] > 0) plan += areas[f] * normals[3 * f + 2];
  });
  const expected = evenOddArea(wanted);
  expect(Math.abs(plan - expected) / expected).toBeLessThanOrEqual(0.001);
}, 600_000);
