import { XMLParser } from 'fast-xml-parser';
import DxfParser from 'dxf-parser';
import { validateBytes } from 'gltf-validator';
import { WebIO } from '@gltf-transform/core';
import { beforeAll, describe, expect, test } from 'vitest';
import { loadClipper } from '../../src/outlines/clipper.js';
import { ringArea } from '../../src/outlines/ring-measures.js';
import { readSvgOutlines } from '../../src/read/read-svg.js';
import { areaText } from '../../src/write/report-numbers.js';
import { surveyShape } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

// Round pocket: floor R 17, fillet 3, wall R 20, in a block of side 44. DC 4 is the first cutter's diameter.
const CUTTERS = { version: 1 as const, cutters: [{ id: 'B4', DC: 4, RE: 2, APMX: 8, LU: 30, NOF: 2 }] };
type Survey = Awaited<ReturnType<typeof surveyShape>>;
let survey: Survey;

beforeAll(async () => {
  survey = await surveyShape(shapes.roundPocket({ segments: 96, filletFacets: 16, side: 44 }), {
    patches: true,
    partDate: '2026-03-01',
    cutters: CUTTERS,
    radiiMm: [2],
    runOutMm: 0.75,
    // The second for what the first leaves of the fillet, thin as it is.
    rough: ['bull-12', 'bull-5'],
    mostThickness: 1,
  });
}, 600_000);

const text = (name: string): string => {
  const file = survey.files.get(name);
  if (typeof file !== 'string') throw new Error(`no text file ${name}`);
  return file;
};
const binary = (name: string): Uint8Array => {
  const file = survey.files.get(name);
  if (file === undefined || typeof file === 'string') throw new Error(`no binary file ${name}`);
  return file;
};

/** Radii about the origin of the rings of one group, least first. */
async function radiiOf(id: string): Promise<number[]> {
  const rings = readSvgOutlines(text('outlines.svg'), await loadClipper(), {
    where: 'o.svg',
    only: id,
    toleranceMm: 0.002,
  });
  return rings
    .filter((ring) => ring.length > 20)
    .map((ring) => Math.sqrt(ring[0] ** 2 + ring[1] ** 2))
    .sort((a, b) => a - b);
}

describe('outlines per cutter', () => {
  // The raster covers the floor and the fillet up to 48 degrees: R = 17 + 3 sin 48, less DC/2, more DC/2 +
  // run-out.
  test('contact, centre and run-out of the raster pass on the floor', async () => {
    const contact = 17 + 3 * Math.sin((48 * Math.PI) / 180);
    expect((await radiiOf('cutter-B4-raster-contact'))[0]).toBeCloseTo(contact, 1);
    expect((await radiiOf('cutter-B4-raster-centre'))[0]).toBeCloseTo(contact - 2, 1);
    const grown = await radiiOf('cutter-B4-waterline-run-out');
    expect(grown[0]).toBeCloseTo(17 + 3 * Math.sin((45 * Math.PI) / 180) - 2.75, 1);
  });

  test('what is not displayed is left out when the whole drawing is read', async () => {
    const rings = readSvgOutlines(text('outlines.svg'), await loadClipper());
    const widest = Math.max(...rings.flatMap((ring) => [...ring].map(Math.abs)));
    expect(widest).toBeLessThan(22.01);
  });
});

// The block stands a little over the part, so roughing and semi-finishing take something everywhere in plan, side 44.
test('stages before finishing have rings: where they take stock, and what for', async () => {
  const early = survey.plan.stages.filter(({ kind }) => /rough|semi/.test(kind));
  expect(early.map(({ kind }) => kind)).toEqual(['rough', 'rest-rough', 'semi-finish']);
  const clipper = await loadClipper();
  for (const { kind, cutterId, rings, DC } of early) {
    const id = `cutter-${cutterId}-${kind}-contact`;
    const read = readSvgOutlines(text('outlines.svg'), clipper, {
      where: 'o.svg',
      only: id,
      toleranceMm: 0.002,
    });
    const areaOf = (some: readonly ArrayLike<number>[]): number =>
      some.reduce((sum, ring) => sum + ringArea(Float64Array.from(ring)), 0);
    const area = areaOf(read);
    expect(area / areaOf(rings.map((ring) => ring.flat()))).toBeCloseTo(1, 3);
    // What a bull-nose leaves of the first one's corner is a ring about the floor.
    if (kind === 'rest-rough') expect(area).toBeLessThan(Math.PI * (20 ** 2 - 10 ** 2));
    else expect(area / 44 ** 2).toBeCloseTo(1, 2);
    const path = new RegExp(`<path id="${id}-outline" ([^>]*)>`).exec(text('outlines.svg'))?.[1];
    expect(path).toContain(
      `data-use="border of what the cutter takes off the stock; ${kind} with ${cutterId}, DC ${DC} mm`,
    );
    expect(text('outlines.dxf')).toContain(`${cutterId} ${kind} contact`);
  }
});

// An independent reader; group codes and $INSUNITS 4 (mm) as in the published DXF reference.
test('the DXF holds classes, cutters and borders in space, in mm, with arcs', () => {
  // The package's types describe its ES build; Node loads the other one, which is the class itself.
  const Parser = DxfParser as unknown as new () => { parseSync(text: string): unknown };
  const drawing = new Parser().parseSync(text('outlines.dxf')) as {
    readonly header: Record<string, unknown>;
    readonly entities: readonly {
      layer: string;
      vertices: { x: number; y: number; z: number; bulge?: number }[];
    }[];
  };
  expect(drawing.header.$INSUNITS).toBe(4);
  const verticesOf = (layer: string) =>
    drawing.entities.filter((one) => one.layer === layer).flatMap((one) => one.vertices);
  const layers = drawing.entities.map(({ layer }) => layer);
  for (const name of [
    'level',
    'shallow',
    'overlap',
    'B4 raster contact',
    'B4 raster centre',
    'B4 waterline run-out',
    'border shallow-overlap',
    'border overlap-steep',
  ])
    expect(layers).toContain(name);
  // The floor's border is a circle: two half circles of bulge 1.
  const half = verticesOf('level').filter(({ bulge }) => Math.abs(Math.abs(bulge ?? 0) - 1) < 1e-6);
  expect(half.length).toBeGreaterThanOrEqual(2);
  const border = verticesOf('border shallow-overlap');
  // 45 degrees on the fillet: R = 17 + 3 sin 45, 3 (1 - cos 45) above the floor.
  const at = Math.PI / 4;
  const heights = new Set(border.map(({ z }) => z.toFixed(1)));
  expect(heights.size).toBe(1);
  border.forEach(({ x, y }) =>
    expect(Math.abs(Math.sqrt(x * x + y * y) - 17 - 3 * Math.sin(at))).toBeLessThan(0.05),
  );
});

test('each outline says what it is for, and of each ring on which side the work lies', () => {
  const paths = [
    ...text('outlines.svg').matchAll(/<path id="cutter-B4-raster-(\w[\w-]*)-outline" ([^>]*)>/g),
  ];
  const of = (kind: string): string => paths.find(([, found]) => found === kind)?.[2] ?? '';
  expect(of('contact')).toContain(
    'data-use="border of the surface that the cutter is to touch; raster with B4',
  );
  expect(of('centre')).toContain('data-use="for the axis of the cutter: inside it');
  expect(of('run-out')).toContain('data-use="for the axis of the cutter: on it');
  for (const kind of ['contact', 'centre', 'run-out']) {
    const sides = (/data-rings="([^"]*)"/.exec(of(kind))?.[1] ?? '').split(' ');
    expect(sides).toHaveLength((of(kind).match(/Z/g) ?? []).length);
    expect(sides).toContain('inside');
  }
  // Extended data: the name of the application, registered in its table, then the string (groups 1001 and 1000).
  const dxf = text('outlines.dxf').replaceAll('\r', '');
  expect(dxf).toMatch(/APPID\n[\s\S]*\n2\nSCARP\n/);
  expect(dxf).toContain(
    '1001\nSCARP\n1002\n{\n1000\nborder of the surface that the cutter is to touch; ' +
      'raster with B4, DC 4 mm, RE 2 mm, leaves 0 mm; work inside\n',
  );
});

test('the report lists the area above the asked scallop height', () => {
  expect(text('report.html')).toContain('above 0.005 mm');
  for (const { areaMm2, areaAboveScallopMm2 } of [survey.plan.passes.waterline, survey.plan.passes.raster]) {
    expect(areaAboveScallopMm2).toBeLessThanOrEqual(areaMm2);
    expect(text('report.html')).toContain(`>${areaText(areaAboveScallopMm2)}<`);
  }
});

test("the GLB carries the borders as lines, and the validator of glTF's authors has nothing to say", async () => {
  const { issues } = await validateBytes(binary('part.glb'));
  expect([issues.numErrors, issues.numWarnings]).toEqual([0, 0]);
  const gltf = await new WebIO().readBinary(binary('part.glb'));
  const lines = gltf
    .getRoot()
    .listMeshes()
    .flatMap((mesh) => mesh.listPrimitives())
    .filter((one) => one.getMode() === 1);
  const names = lines.map((one) => one.getMaterial()?.getName());
  expect(names).toContain('border shallow-overlap');
  expect(names).toContain('border overlap-steep');
  lines.forEach((one) => expect((one.getIndices()?.getCount() ?? 1) % 2).toBe(0));
});

// h = R - sqrt(R² - s² / 4) on planes (circle geometry; Choi & Jerard 1998): the stepover on the level floor
// and top, the stepdown on the wall, which is straight along Z. Nothing cuts the underside and the outer
// sides.
test('the GLB carries the scallop height of each place', async () => {
  const gltf = await new WebIO().readBinary(binary('part.glb'));
  const primitives = gltf.getRoot().listMeshes()[0].listPrimitives();
  const values = (cls: string, attribute: string): number[] => [
    ...(primitives
      .find((one) => one.getMaterial()?.getName() === cls)
      ?.getAttribute(attribute)
      ?.getArray() ?? []),
  ];
  const scallop = (step: number): number => 2 - Math.sqrt(4 - (step * step) / 4);
  const { raster, waterline } = survey.plan.passes;
  // The fillet's first half degree is level too, and bent.
  const level = values('level', '_SCALLOP'),
    flat = values('level', '_WALL_ANGLE').flatMap((angle, i) => (angle < 1e-4 ? [level[i]] : []));
  flat.sort((a, b) => a - b);
  expect(flat.length).toBeGreaterThan(10);
  // The floor is cut apart from its fillet, at full steps.
  expect(Math.abs(flat[flat.length >> 1] / scallop(raster.widestSpacingMm) - 1)).toBeLessThan(1e-5);
  for (const height of level) {
    expect(height).toBeGreaterThan(0.32 * scallop(raster.spacingMm));
    expect(height).toBeLessThan(1.7 * scallop(raster.widestSpacingMm));
  }
  const angles = values('steep', '_WALL_ANGLE'),
    wall = values('steep', '_SCALLOP').filter((_, i) => Math.abs(angles[i] - 90) < 1e-4);
  expect(wall.length).toBeGreaterThan(50);
  wall.sort((a, b) => a - b);
  expect(Math.abs(wall[wall.length >> 1] / scallop(waterline.widestSpacingMm) - 1)).toBeLessThan(1e-4);
  // Concave, h = sl² / 8 (1 / R - 1 / rho), Lin & Koren 1996: no less than 1 - 2 / 3 of the plane's in the
  // fillet of 3.
  for (const height of values('shallow', '_SCALLOP')) {
    expect(height).toBeGreaterThan(0.32 * scallop(raster.spacingMm));
    expect(height).toBeLessThanOrEqual(1.001 * raster.maxScallopMm!);
  }
  for (const cls of ['underside', 'outside']) expect(new Set(values(cls, '_SCALLOP'))).toEqual(new Set([-1]));
});

test('patches: one STL per region, their facets those of the class', () => {
  const names = survey.plan.regions.map(
    ({ id, class: cls }) =>
      `region-${String(id).padStart(String(survey.plan.regions.length - 1).length, '0')}-${cls}.stl`,
  );
  for (const name of names) {
    const bytes = binary(name);
    const count = new DataView(bytes.buffer, bytes.byteOffset).getUint32(80, true);
    expect(bytes.length).toBe(84 + 50 * count);
    expect(count).toBeGreaterThan(0);
  }
  expect([...survey.files.keys()].filter((name) => name.endsWith('.stl'))).toEqual(names);
});

test.each([
  ['drawing-a4.svg', '297mm', '210mm'],
  ['drawing-a3.svg', '420mm', '297mm'],
])("%s: ISO 216 size, the file's day", (name, w, h) => {
  const parsed = new XMLParser({ ignoreAttributes: false }).parse(text(name)) as {
    svg: Record<string, string>;
  };
  expect([parsed.svg['@_width'], parsed.svg['@_height']]).toEqual([w, h]);
  expect(text(name)).toContain('File of 2026-03-01');
});
