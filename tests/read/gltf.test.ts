import { Document, Format, WebIO, type Node, type Primitive } from '@gltf-transform/core';
import { describe, expect, test } from 'vitest';
import { prepareMesh } from '../../src/part/prepare.js';
import { readPart, type ReadOptions } from '../../src/read/read-part.js';
import * as shapes from '../support/shapes.js';
import { asciiStl, binaryStl } from '../support/stl.js';
import { refusalOf } from '../support/refusal.js';

const TRIANGLES = 4,
  STRIP = 5,
  FAN = 6;
type Mode = Parameters<Primitive['setMode']>[0];

/** Set-up coordinates in mm to those of the format: metres, Y up. */
const toFormat = (corners: Float64Array): Float32Array => {
  const out = new Float32Array(corners.length);
  for (let p = 0; p < corners.length; p += 3) {
    out[p] = corners[p] / 1000;
    out[p + 1] = corners[p + 2] / 1000;
    out[p + 2] = -corners[p + 1] / 1000;
  }
  return out;
};

interface Piece {
  readonly points: Float32Array | Uint16Array;
  readonly indices?: Uint16Array;
  readonly mode?: Mode;
  readonly place?: (node: Node) => unknown;
}

function documentOf(...pieces: readonly Piece[]): Document {
  const document = new Document();
  const buffer = document.createBuffer();
  const scene = document.createScene();
  for (const { points, indices, mode = TRIANGLES, place } of pieces) {
    const position = document.createAccessor().setType('VEC3').setArray(points).setBuffer(buffer);
    const primitive = document.createPrimitive().setAttribute('POSITION', position).setMode(mode);
    if (indices)
      primitive.setIndices(document.createAccessor().setType('SCALAR').setArray(indices).setBuffer(buffer));
    const node = document.createNode().setMesh(document.createMesh().addPrimitive(primitive));
    place?.(node);
    scene.addChild(node);
  }
  return document;
}

const glb = (...pieces: readonly Piece[]): Promise<Uint8Array> =>
  new WebIO().writeBinary(documentOf(...pieces));
const read = (bytes: Uint8Array, options: Partial<ReadOptions> = {}) =>
  readPart(bytes, { name: 'part.glb', ...options });
const refusal = (bytes: Uint8Array, options: Partial<ReadOptions> = {}) => refusalOf(read(bytes, options));
function expectNear(got: Float64Array, wanted: Float64Array, mm = 1e-5): void {
  expect(got.length).toBe(wanted.length);
  got.forEach((x, i) => expect(Math.abs(x - wanted[i])).toBeLessThan(mm));
}

// 125 / 1024 m and its like are exact in float32, so that all formats give the very same numbers.
const cube = shapes.moved(shapes.box(125, 62.5, 31.25), [250, -125, 0]);

test('one cube as ASCII STL, binary STL, GLB and glTF gives one mesh', async () => {
  const json = await new WebIO().writeJSON(documentOf({ points: toFormat(cube) }));
  const soups = await Promise.all([
    read(asciiStl(cube)),
    read(binaryStl(cube)),
    read(await glb({ points: toFormat(cube) })),
    read(new TextEncoder().encode(JSON.stringify(json.json)), {
      readBeside: async (path) => json.resources[path],
    }),
  ]);
  expect(soups.map(({ source }) => source.format)).toEqual(['stl-ascii', 'stl-binary', 'glb', 'gltf']);
  expect(soups.map(({ source }) => source.unitFrom)).toEqual(['default', 'default', 'format', 'format']);
  const meshes = soups.map((soup) => prepareMesh(soup, { axis: [0, 0, 1], stand: true }).mesh);
  for (const mesh of meshes) expect(mesh.triangles.length).toBe(36);
  meshes[2].positions.forEach((x, i) => expect(Math.abs(x - meshes[0].positions[i])).toBeLessThan(2e-5));
  expect(meshes[1]).toEqual(meshes[0]);
  expect(meshes[3]).toEqual(meshes[2]);
  for (const mesh of meshes) expect(mesh.triangles).toEqual(meshes[0].triangles);
});

// glTF 2.0, "Coordinate System and Units": metres, +Y up, right-handed.
test('metres and Y up become mm and Z up', async () => {
  const { corners, source } = await read(
    await glb({ points: Float32Array.of(0.5, 0.25, 0.125, 1, 0, 0, 0, 2, 0) }),
  );
  expect([...corners]).toEqual([500, -125, 250, 1000, 0, 0, 0, 0, 2000]);
  expect(source).toMatchObject({ unit: 'm', unitFrom: 'format', triangles: 1 });
});

test('the unit can be said otherwise', async () => {
  const { corners, source } = await read(await glb({ points: Float32Array.of(1, 2, 3, 4, 5, 6, 7, 8, 0) }), {
    unit: 'in',
  });
  expect([...corners.subarray(0, 3)]).toEqual([25.4, -76.2, 2 * 25.4].map((x) => expect.closeTo(x, 10)));
  expect(source).toMatchObject({ unit: 'in', unitFrom: 'option' });
});

describe('nodes', () => {
  // glTF 2.0, 3.7.4: a negative determinant of the node's transform reverses the winding.
  test.each<[string, [number, number, number]]>([
    ['one axis', [-1, 1, 1]],
    ['two axes', [-1, -1, 1]],
    ['three axes', [-1, -1, -1]],
    ['another axis', [1, -2, 1]],
  ])('mirrored in %s keep their outside', async (_, scale) => {
    const { corners } = await read(
      await glb({ points: toFormat(cube), place: (node) => node.setScale(scale) }),
    );
    const { volume } = shapes.measureSoup(corners);
    expect(volume / (125 * 62.5 * 31.25 * Math.abs(scale[0] * scale[1] * scale[2]))).toBeCloseTo(1, 6);
  });

  test('nested transforms multiply, parent on the left', async () => {
    const document = documentOf({
      points: toFormat(cube),
      place: (node) => node.setTranslation([0.5, 0, 0]),
    });
    const scene = document.getRoot().listScenes()[0];
    const child = scene.listChildren()[0];
    // A quarter turn about Y (up): x to -z in the format, so x to y in ours.
    const parent = document
      .createNode()
      .setRotation([0, Math.SQRT1_2, 0, Math.SQRT1_2])
      .setScale([2, 2, 2])
      .addChild(child);
    scene.addChild(parent);
    const { corners } = await read(await new WebIO().writeBinary(document));
    const wanted = new Float64Array(cube.length);
    for (let p = 0; p < cube.length; p += 3) {
      wanted[p] = -2 * cube[p + 1];
      wanted[p + 1] = 2 * (cube[p] + 500);
      wanted[p + 2] = 2 * cube[p + 2];
    }
    expectNear(corners, wanted, 1e-4);
  });

  test('several meshes follow each other, and quantized positions take scale and offset from the node', async () => {
    const step = 1 / 4096;
    const counts = Uint16Array.from(toFormat(shapes.box(125, 62.5, 31.25)), (x) =>
      Math.round((x + 0.25) / step),
    );
    const document = documentOf(
      { points: toFormat(cube) },
      {
        points: counts,
        place: (node) => node.setScale([step, step, step]).setTranslation([-0.25, -0.25, -0.25]),
      },
    );
    const io = new WebIO();
    const { json, resources } = await io.writeJSON(document, { format: Format.GLB });
    json.extensionsUsed = json.extensionsRequired = ['KHR_mesh_quantization'];
    const bytes = glbOf(json, Object.values(resources)[0]);
    const { corners, source } = await read(bytes);
    expect(source.triangles).toBe(24);
    expectNear(corners.slice(0, 108), cube);
    expectNear(corners.slice(108), shapes.box(125, 62.5, 31.25), 0.5 * 1000 * step + 1e-6);
  });
});

function glbOf(json: unknown, binary: Uint8Array): Uint8Array {
  const text = new TextEncoder().encode(JSON.stringify(json));
  const padded = Math.ceil(text.length / 4) * 4;
  const bytes = new Uint8Array(28 + padded + binary.length).fill(32);
  const view = new DataView(bytes.buffer);
  [0x46546c67, 2, bytes.length, padded, 0x4e4f534a].forEach((word, i) => view.setUint32(4 * i, word, true));
  bytes.set(text, 20);
  view.setUint32(20 + padded, binary.length, true);
  view.setUint32(24 + padded, 0x004e4942, true);
  bytes.set(binary, 28 + padded);
  return bytes;
}

describe('lists of triangles', () => {
  // Zigzag in the format's XZ plane; glTF 2.0, 3.7.2.1: p_i = {v_i, v_(i+1+i%2), v_(i+2-i%2)}.
  const zigzag = Float32Array.of(0, 0, 0, 0, 0, 1, 1, 0, 0, 1, 0, 1, 2, 0, 0);
  const upward = (corners: Float64Array): number => shapes.areaWhere(corners, (_, n) => n[2] > 0.99);

  test('strips alternate', async () => {
    const { corners } = await read(await glb({ points: zigzag, mode: STRIP }));
    expect(corners.length / 9).toBe(3);
    expect(upward(corners)).toBeCloseTo(1.5e6, 6);
  });

  test('fans share their first vertex', async () => {
    const points = Float32Array.of(0, 0, 0, 1, 0, 0, 1, 0, -1, 0, 0, -1, -1, 0, -1);
    const { corners } = await read(await glb({ points, mode: FAN }));
    expect(corners.length / 9).toBe(3);
    expect(upward(corners)).toBeCloseTo(1.5e6, 6);
  });

  test.each<[string, Mode]>([
    ['indexed', TRIANGLES],
    ['indexed strip', STRIP],
  ])('%s', async (_, mode) => {
    const { corners } = await read(await glb({ points: zigzag, indices: Uint16Array.of(2, 0, 1), mode }));
    expect([...corners]).toEqual([1000, 0, 0, 0, 0, 0, 0, -1000, 0]);
  });

  test.each<[string, Mode]>([
    ['points', 0],
    ['lines', 1],
  ])('%s are left out, and said', async (_, mode) => {
    const { corners, findings } = await read(await glb({ points: toFormat(cube) }, { points: zigzag, mode }));
    expect(corners.length / 9).toBe(12);
    expect(findings).toMatchObject([{ code: 'read.no-surface', count: 1 }]);
    expect((await refusal(await glb({ points: zigzag, mode }))).code).toBe('read.no-triangles');
  });
});

describe('refused', () => {
  test('without its buffer file, naming it', async () => {
    const { json, resources } = await new WebIO().writeJSON(documentOf({ points: toFormat(cube) }), {
      basename: 'insert',
    });
    const [file] = Object.keys(resources);
    const info = await refusal(new TextEncoder().encode(JSON.stringify(json)));
    expect(info.code).toBe('read.missing-resource');
    expect(info.what).toContain(file);
  });

  test.each([
    ['in the magic', 5],
    ['in the header', 10],
    ['in the JSON', 40],
    ['in the numbers', -1],
  ])('cut short %s', async (_, length) => {
    const bytes = await glb({ points: toFormat(cube) });
    expect((await refusal(bytes.subarray(0, length < 0 ? bytes.length + length : length))).code).toMatch(
      /^read\.(truncated|damaged)$/,
    );
  });

  test('with an index beyond its points', async () => {
    const info = await refusal(await glb({ points: toFormat(cube), indices: Uint16Array.of(0, 1, 99) }));
    expect(info.code).toBe('read.damaged');
  });

  test('with a coordinate that is no number', async () => {
    expect((await refusal(await glb({ points: Float32Array.of(0, 0, 0, 1, 0, NaN, 0, 1, 0) }))).code).toBe(
      'read.non-finite',
    );
  });

  test.each(['KHR_draco_mesh_compression_2', 'EXT_mesh_gpu_instancing', 'XYZ_unheard_of'])(
    'needing %s',
    async (extension) => {
      const { json, resources } = await new WebIO().writeJSON(documentOf({ points: toFormat(cube) }), {
        format: Format.GLB,
      });
      json.extensionsUsed = json.extensionsRequired = [extension];
      const info = await refusal(glbOf(json, Object.values(resources)[0]));
      expect(info.code).toBe('read.unsupported-extension');
      expect(info.what).toContain(extension);
    },
  );
});

test('missing pictures do not matter', async () => {
  const { json, resources } = await new WebIO().writeJSON(documentOf({ points: toFormat(cube) }), {
    format: Format.GLB,
  });
  json.images = [{ uri: 'not-there.png' }];
  expect((await read(glbOf(json, Object.values(resources)[0]))).source.triangles).toBe(12);
});
