import { meshStep } from 'scarp/node';
import { beforeAll, describe, expect, test } from 'vitest';
import { CLASSES } from '../../src/core/classes.js';
import { prepareMesh } from '../../src/part/prepare.js';
import { DEFAULT_CATALOGUE } from '../../src/cutter/default-catalogue.js';
import type { Plan } from '../../src/plan/plan.js';
import { readPart, type ReadOptions } from '../../src/read/read-part.js';
import { SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import { objFile, plyBinaryFile, plyTextFile, threeMfFile } from '../support/formats.js';
import { dracoGlb, glbFile, gltfOf, meshoptGlb, quantizedGlb } from '../support/gltf-files.js';
import * as shapes from '../support/shapes.js';
import { facettedStep } from '../support/step-files.js';
import { asciiStl, binaryStl } from '../support/stl.js';

/** Exact as float32 in mm and in metres, and within nine digits, so in every format, mm. */
const GRID = 125 / 64;
const onGrid = (corners: Float64Array): Float64Array => corners.map((x) => GRID * Math.round(x / GRID));
const part = onGrid(shapes.boxPocket({ width: 30, length: 24, depth: 12 }));

/** A glTF of JSON alone, and what lies beside it. */
const externalGltf = (corners: Float64Array) => {
  const { json, buffer } = gltfOf(corners);
  const buffers = [{ uri: 'part%20data.bin', byteLength: buffer.length }];
  return { text: new TextEncoder().encode(JSON.stringify({ ...json, buffers })), buffer };
};
type Write = (corners: Float64Array) => Promise<Uint8Array> | Uint8Array;
const FILES: readonly (readonly [string, Write])[] = [
  ['stl-binary', binaryStl],
  ['stl-ascii', asciiStl],
  ['obj', objFile],
  ['ply-ascii', plyTextFile],
  ['ply-binary', (corners) => plyBinaryFile(corners, true)],
  ['ply-binary', (corners) => plyBinaryFile(corners, false)],
  ['3mf', (corners) => threeMfFile(corners)],
  ['glb', glbFile],
  ['gltf', (corners) => externalGltf(corners).text],
  // The grid's lines are a whole number of its steps, so nothing is rounded.
  ['glb', (corners) => quantizedGlb(corners, GRID / 1000)],
  ['glb', async (corners) => (await meshoptGlb(corners)).glb],
  ['glb', async (corners) => (await meshoptGlb(corners, 'KHR_meshopt_compression')).glb],
];
/** @param corners what lies beside a glTF is of this part */
const besideOf = (corners: Float64Array) => async (path: string) => {
  expect(path).toBe('part data.bin');
  return externalGltf(corners).buffer;
};
const OPTIONS: ReadOptions = {
  name: 'part',
  readBeside: besideOf(part),
  step: { mesh: meshStep, toleranceMm: 0.02 },
};
/** Without the sign of a zero, which Y up turns round. */
const plain = (corners: Float64Array): Float64Array => corners.map((x) => x + 0);

test.each(FILES)('%s (%#) gives the very triangles', async (format, write) => {
  // Named alike, so that nothing but the content can tell.
  const { corners, source, findings } = await readPart(await write(part), OPTIONS);
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

const SETUP = { ...SETUP_DEFAULTS, toleranceMm: 0.1, cutters: CUTTERS, radiiMm: [4], rough: [], semi: [] };

describe('the plan', () => {
  const ramp = onGrid(shapes.rampBlock(40, 20, 10));
  const planOf = async (bytes: Uint8Array): Promise<Plan> =>
    (await surveyPart(bytes, 'part', SETUP, { readBeside: besideOf(ramp), meshStep })).plan;
  let plain: Plan;
  beforeAll(async () => {
    plain = await planOf(binaryStl(ramp));
  });

  test.each(FILES.slice(1))('of %s (%#) is the same but for its source', async (format, write) => {
    const { source: own, ...plan } = plain;
    const { source, ...other } = await planOf(await write(ramp));
    expect([own.format, source.format]).toEqual(['stl-binary', format]);
    expect(other).toEqual(plan);
  });

  // Facets come in another order, and places as packing rounds them: half a step, of 30 mm over 2^bits.
  test.each<[string, number, Write]>([
    ['STEP', 0, facettedStep],
    ['Draco of 14 bits', 0.5 * (30 / 2 ** 14), async (corners) => (await dracoGlb(corners, 14)).glb],
    ['quantized to 16 bits', 0.5 * (30 / 2 ** 16), (corners) => quantizedGlb(corners, 0.03 / (2 ** 16 - 1))],
  ])('of %s: the same regions and cutters, areas as its places allow', async (_, offMm, write) => {
    const plan = await planOf(await write(ramp));
    expect(plan.regions.map(({ class: cls }) => cls)).toEqual(plain.regions.map(({ class: cls }) => cls));
    expect(plan.ladder.map(({ cutterId }) => cutterId)).toEqual(plain.ladder.map(({ cutterId }) => cutterId));
    for (const cls of CLASSES) {
      const [found, expected] = [plan.classes[cls].areaMm2, plain.classes[cls].areaMm2];
      // No region is more than 200 mm round.
      expect(Math.abs(found - expected), cls).toBeLessThan(1e-6 * expected + 200 * offMm + 1e-9);
    }
  });
});
