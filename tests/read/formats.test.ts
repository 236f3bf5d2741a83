import { meshStep } from 'scarp/node';
import { describe, expect, test } from 'vitest';
import { prepareMesh } from '../../src/part/prepare.js';
import { DEFAULT_CATALOGUE } from '../../src/cutter/default-catalogue.js';
import { readPart, type ReadOptions } from '../../src/read/read-part.js';
import { SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import { objFile, plyBinaryFile, plyTextFile, threeMfFile } from '../support/formats.js';
import { dracoGlb, glbFile, gltfOf, meshoptGlb } from '../support/gltf-files.js';
import * as shapes from '../support/shapes.js';
import { facettedStep } from '../support/step-files.js';
import { asciiStl, binaryStl } from '../support/stl.js';

/** Exact as float32 in mm and in metres, and within nine digits, so in every format, mm. */
const GRID = 125 / 64;
const onGrid = (corners: Float64Array): Float64Array => corners.map((x) => GRID * Math.round(x / GRID));
const part = onGrid(shapes.boxPocket({ width: 30, length: 24, depth: 12 }));

const { json, buffer } = gltfOf(part);
const gltf = new TextEncoder().encode(
  JSON.stringify({ ...json, buffers: [{ uri: 'part%20data.bin', byteLength: buffer.length }] }),
);
const FILES: readonly (readonly [string, () => Promise<Uint8Array> | Uint8Array])[] = [
  ['stl-binary', () => binaryStl(part)],
  ['stl-ascii', () => asciiStl(part)],
  ['obj', () => objFile(part)],
  ['ply-ascii', () => plyTextFile(part)],
  ['ply-binary', () => plyBinaryFile(part, true)],
  ['ply-binary', () => plyBinaryFile(part, false)],
  ['3mf', () => threeMfFile(part)],
  ['glb', () => glbFile(part)],
  ['gltf', () => gltf],
  ['glb', async () => (await meshoptGlb(part)).glb],
  ['glb', async () => (await meshoptGlb(part, 'KHR_meshopt_compression')).glb],
];
const OPTIONS: ReadOptions = {
  name: 'part',
  readBeside: async (path) => {
    expect(path).toBe('part data.bin');
    return buffer;
  },
  step: { mesh: meshStep, toleranceMm: 0.02 },
};
/** Without the sign of a zero, which Y up turns round. */
const plain = (corners: Float64Array): Float64Array => corners.map((x) => x + 0);

test.each(FILES)('%s (%#) gives the very triangles', async (format, write) => {
  // Named alike, so that nothing but the content can tell.
  const { corners, source, findings } = await readPart(await write(), OPTIONS);
  expect(plain(corners)).toEqual(plain(part));
  expect(source.format).toBe(format);
  expect(findings).toEqual([]);
});

describe('what a format does not keep exactly', () => {
  const placed = { axis: [0, 0, 1], stand: false } as const;
  const measures = async (bytes: Uint8Array) => {
    const soup = await readPart(bytes, OPTIONS);
    const { health, mesh } = prepareMesh(soup, placed);
    return { soup, health, points: [...mesh.positions] };
  };

  test('Draco: order, and places to a step of its quantization', async () => {
    const bits = 14;
    const [one, other] = [await measures(binaryStl(part)), await measures((await dracoGlb(part, bits)).glb)];
    const step = Math.max(...one.health.boundsMm.max) / 2 ** (bits - 1);
    expect(other.health).toMatchObject({ openEdges: 0, shells: 1, triangles: one.health.triangles });
    expect(Math.abs((other.health.volumeMm3 ?? 0) / (one.health.volumeMm3 ?? 0) - 1)).toBeLessThan(1e-3);
    for (const x of other.points)
      expect(Math.min(...one.points.map((y) => Math.abs(x - y)))).toBeLessThan(step);
  });

  test('STEP: order', async () => {
    const [one, other] = [await measures(binaryStl(part)), await measures(facettedStep(part))];
    expect(other.soup.source).toMatchObject({ format: 'step', unit: 'mm', unitFrom: 'file' });
    expect(other.health).toMatchObject({ openEdges: 0, shells: 1, triangles: one.health.triangles });
    expect(other.health.volumeMm3).toBeCloseTo(one.health.volumeMm3 ?? NaN, 6);
    expect([...other.points].sort()).toEqual([...one.points].sort());
  });
});

const CUTTERS = DEFAULT_CATALOGUE.filter(({ id }) => id === 'ball-8');

test('the plan is the same but for its source', async () => {
  const setup = { ...SETUP_DEFAULTS, toleranceMm: 0.1, cutters: CUTTERS, radiiMm: [4] };
  const planOf = async (bytes: Uint8Array) => (await surveyPart(bytes, 'part', setup, {})).plan;
  const ramp = onGrid(shapes.rampBlock(40, 20, 10));
  const { source: stl, ...plan } = await planOf(binaryStl(ramp));
  const { source: threeMf, ...other } = await planOf(threeMfFile(ramp));
  expect([stl.format, threeMf.format]).toEqual(['stl-binary', '3mf']);
  expect(other).toEqual(plan);
});
