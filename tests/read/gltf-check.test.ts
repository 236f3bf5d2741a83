import { expect, test } from 'vitest';
import { PartError } from '../../src/core/errors.js';
import { prepareMesh } from '../../src/part/prepare.js';
import { readPart } from '../../src/read/read-part.js';
import * as shapes from '../support/shapes.js';

const points = Float32Array.from(shapes.box(0.04, 0.03, 0.02));
const BYTES = points.byteLength;
const dataUri = (bytes: number): string =>
  `data:application/octet-stream;base64,${Buffer.from(points.buffer, 0, bytes).toString('base64')}`;

/** A whole glTF, so that each test may break one thing in it. */
const clean = () => ({
  asset: { version: '2.0' },
  scene: 0,
  scenes: [{ nodes: [0] }],
  nodes: [{ mesh: 0 }],
  meshes: [{ primitives: [{ attributes: { POSITION: 0 } }] }],
  accessors: [{ bufferView: 0, componentType: 5126, count: 36, type: 'VEC3' }],
  bufferViews: [{ buffer: 0, byteLength: BYTES }],
  buffers: [{ byteLength: BYTES, uri: dataUri(BYTES) }],
});
type Json = Record<string, unknown>;
const read = (json: unknown) => readPart(new TextEncoder().encode(JSON.stringify(json)), { name: 'a.gltf' });

test('the clean one is read', async () => {
  expect((await read(clean())).source.triangles).toBe(12);
});

const accessor = (change: Json) => ({ accessors: [{ ...clean().accessors[0], ...change }] });
const view = (change: Json) => ({ bufferViews: [{ ...clean().bufferViews[0], ...change }] });
const buffer = (change: Json) => ({ buffers: [{ ...clean().buffers[0], ...change }] });
const SPARSE = { count: 1, indices: { bufferView: 0, componentType: 5125 }, values: { bufferView: 0 } };
const chain = (length: number) => Array.from({ length }, (_, i) => ({ children: [i + 1] }));

// glTF 2.0, section 5 (types and ranges), 3.6.2.4 (an accessor fits its view, a view its buffer), 3.5.2 (trees).
test.each<[string, Json, RegExp]>([
  ['half of the bytes', buffer({ uri: dataUri(BYTES / 2) }), /buffers\.0: 432 bytes announced, 216 found/],
  ['bytes that are no base64', buffer({ uri: 'data:,;base64,&&&' }), /buffers\.0/],
  ['a buffer of another size', buffer({ byteLength: BYTES / 2 }), /bufferViews\.0/],
  ['a short view', view({ byteLength: 100 }), /accessors\.0: its bytes end/],
  ['a view before the buffer', view({ byteOffset: -400 }), /bufferViews\.0\.byteOffset/],
  ['a view behind it', view({ byteOffset: 4 }), /bufferViews\.0: its bytes end/],
  ['a view of no buffer', view({ buffer: 3 }), /buffers\.3 named, 1 there/],
  ['elements that overlap', view({ byteStride: 1 }), /byteStride/],
  ['an accessor before its view', accessor({ byteOffset: -4 }), /accessors\.0\.byteOffset/],
  ['an accessor far behind it', accessor({ byteOffset: 1e9 }), /accessors\.0: its bytes end/],
  ['more elements than bytes', accessor({ bufferView: undefined, count: 1.3e8 }), /130000000 elements/],
  ['the same, sparse', accessor({ bufferView: undefined, count: 4e7, sparse: SPARSE }), /40000000 elements/],
  ['more replaced than there', accessor({ sparse: { ...SPARSE, count: 37 } }), /37 of its 36/],
  [
    'replaced from behind',
    accessor({ sparse: { ...SPARSE, values: { bufferView: 0, byteOffset: BYTES } } }),
    /sparse/,
  ],
  ['points of two numbers', accessor({ type: 'VEC2' }), /VEC2, VEC3 expected/],
  ['numbers of no kind', accessor({ componentType: 1 }), /componentType/],
  ['buffers null', { buffers: null }, /buffers: null found/],
  ['a uri 5', buffer({ uri: 5 }), /uri: 5 found/],
  ['extensions 5', { extensionsUsed: 5 }, /extensionsUsed: 5 found/],
  ['required extensions as an object', { extensionsRequired: { a: 1 } }, /extensionsRequired/],
  ['a node null', { nodes: [null] }, /nodes\.0: null/],
  ['a matrix of text', { nodes: [{ mesh: 0, matrix: 'x' }] }, /nodes\.0\.matrix/],
  ['a mesh that is not there', { nodes: [{ mesh: 9 }] }, /meshes\.9 named/],
  ['a scene that is not there', { scene: 9 }, /scenes\.9 named/],
  [
    'points by indices that are points',
    { meshes: [{ primitives: [{ attributes: { POSITION: 0 }, indices: 0 }] }] },
    /SCALAR/,
  ],
  ['a node below itself', { nodes: [{ mesh: 0, children: [0] }] }, /hangs from another|ring/],
  ['a node below two', { nodes: [{ children: [1, 2] }, { children: [2] }, { mesh: 0 }] }, /two nodes/],
  ['nodes without end', { nodes: [...chain(2000), { mesh: 0 }] }, /more than 1000 nodes/],
])('%s: refused, with its place', async (_, damage, message) => {
  const error = await read({ ...clean(), ...damage }).catch((reason: unknown) => reason);
  expect(error).toBeInstanceOf(PartError);
  expect((error as PartError).message).toMatch(message);
  expect((error as PartError).message).toMatch(/^a\.gltf: .*; .+/);
});

test('instances are counted before room is made for them', async () => {
  const nodes = Array.from({ length: 40 }, () => ({ mesh: 0 }));
  const json = { ...clean(), nodes, scenes: [{ nodes: nodes.map((_, i) => i) }] };
  const bytes = new TextEncoder().encode(JSON.stringify(json));
  await expect(readPart(bytes, { name: 'a.gltf', maxTriangles: 400 })).rejects.toThrow(
    '480 triangles, at most 400',
  );
});

// The very numbers are read, but no part may lie out there.
test('a scale past all bounds: refused before anything overflows', async () => {
  const soup = await read({ ...clean(), nodes: [{ mesh: 0, scale: [1e200, 1e200, 1e200] }] });
  expect(() => prepareMesh(soup, { axis: [0, 0, 1], stand: true })).toThrow(
    /^a\.gltf: triangle \d+: .*at most 1000000 mm/,
  );
});
