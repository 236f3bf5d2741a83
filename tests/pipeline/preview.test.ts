import { XMLParser, XMLValidator } from 'fast-xml-parser';
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { compensatedSum } from '../../src/core/sum.js';
import { facetNormals } from '../../src/part/facet-normals.js';
import { readPart } from '../../src/read/read-part.js';
import { finishingSurface } from '../../src/survey/finishing-passes.js';
import { passMask, type FinishingSurface } from '../../src/time/finishing-surface.js';
import { maskedTotal } from '../../src/time/path-length.js';
import { passSlices, type SliceOptions } from '../../src/time/slices.js';
import { sliceLengths } from '../support/slice-lengths.js';
import { readyPart, surveyShape, zonesOf } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { passLengths } from '../time/patches.js';

const MODELS = ['clip-insert', 'soap-dish-cavity', 'latch-housing', 'bell-cover-core'];

/** Facets as flat as they are: what slices of the mesh must agree with. */
async function flatModel(name: string) {
  const bytes = readFileSync(new URL(`../../models/${name}.stl`, import.meta.url));
  const zoned = zonesOf(readyPart((await readPart(bytes, { name })).corners));
  const { areas, normals } = facetNormals(zoned.surface.mesh);
  const surface: FinishingSurface = { ...finishingSurface(zoned.surface, zoned.labels, areas), normals };
  return { zoned, surface };
}

test.each(MODELS)('%s: slices and co-area formula agree', async (name) => {
  // |Σ L(z_k) - (1/dz) ∫ L dz| <= half the total variation of L: one longest contour for a patch whose contours grow and
  // then shrink (Koksma's inequality, from memory); parts of several patches get one contour of each.
  const {
    zoned: {
      surface: { mesh, topology },
      labels,
    },
    surface,
  } = await flatModel(name);
  const compare = (strategy: SliceOptions['strategy'], spacingMm: number) => {
    const mask = passMask(labels, strategy.kind);
    const slices = passSlices(mesh, topology, { strategy, spacingMm, offsetMm: spacingMm / 2, mask });
    const lengths = sliceLengths(slices);
    const contour = new Map<number, number>();
    slices.plane.forEach((k, l) => contour.set(k, (contour.get(k) ?? 0) + lengths[l]));
    return {
      sliced: compensatedSum(lengths),
      formula: maskedTotal(passLengths(surface, strategy, spacingMm).lengths, mask),
      longest: Math.max(...contour.values()),
    };
  };
  const waterline = compare({ kind: 'waterline' }, 0.2);
  expect(Math.abs(waterline.sliced - waterline.formula)).toBeLessThanOrEqual(waterline.longest);
  const raster = compare({ kind: 'raster', feedRad: 0.3 }, 0.2);
  expect(Math.abs(raster.sliced / raster.formula - 1)).toBeLessThan(0.01);
});

test('the preview is written on request, thinned out, and says so', async () => {
  const cutters = { version: 1 as const, cutters: [{ id: 'b6', DC: 6, RE: 3, APMX: 6, LU: 60, NOF: 2 }] };
  const { plan, files } = await surveyShape(shapes.rampBlock(30, 30, 80), {
    cutters,
    preview: true,
    rasterDirectionDeg: 0,
  });
  const text = String(files.get('passes-preview.svg'));
  expect(XMLValidator.validate(text)).toBe(true);
  const { svg } = new XMLParser({
    ignoreAttributes: false,
    isArray: (tag) => tag === 'path' || tag === 'g',
  }).parse(text);
  const raster = svg.g.find((group: Record<string, unknown>) => group['@_id'] === 'preview-raster');
  const every = Number(/one pass in (\d+)/.exec(raster.title)?.[1]);
  // Planes along x over 80 mm of y, `every` spacings apart: so many lines, each parallel to x.
  expect(every).toBe(2);
  expect(Math.abs(raster.path.length - 80 / (every * plan.passes.raster.spacingMm))).toBeLessThan(1);
  const ys = raster.path.map((path: Record<string, string>) =>
    path['@_d'].match(/-?[\d.]+ (-?[\d.]+)/g)?.map((p) => p.split(' ')[1]),
  );
  for (const line of ys) expect(new Set(line).size).toBe(1);
  expect((await surveyShape(shapes.rampBlock(30), { cutters })).files.has('passes-preview.svg')).toBe(false);
});
