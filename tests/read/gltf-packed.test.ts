import { describe, expect, test } from 'vitest';
import { PartError } from '../../src/core/errors.js';
import { readPart, type ReadOptions } from '../../src/read/read-part.js';
import { dracoGlb, glbOf, gltfOf, meshoptGlb } from '../support/gltf-files.js';
import * as shapes from '../support/shapes.js';
import { refusalOf } from '../support/refusal.js';

const box = shapes.box(125, 62.5, 31.25);
const read = (bytes: Uint8Array, options: Partial<ReadOptions> = {}) =>
  readPart(bytes, { name: 'part.glb', ...options });
const refusal = (bytes: Uint8Array, options: Partial<ReadOptions> = {}) => refusalOf(read(bytes, options));
type Json = Record<string, never>;
/** The same file with something else in its JSON. */
const changed = (json: object, binary: Uint8Array, change: (json: Json) => void): Uint8Array => {
  const copy = JSON.parse(JSON.stringify(json)) as Json;
  change(copy);
  return glbOf(copy, binary);
};

describe('meshopt', () => {
  const set = (key: string, value: unknown) => async (): Promise<Uint8Array> => {
    const { json, binary } = await meshoptGlb(box);
    return changed(json, binary, (copy) => {
      const { extensions } = (copy.bufferViews as Record<string, Record<string, object>>[])[0];
      Object.assign(extensions.EXT_meshopt_compression, { [key]: value });
    });
  };

  test.each<[string, () => Promise<Uint8Array>, string]>([
    ['an unknown mode', set('mode', 'POINTS'), 'read.damaged'],
    ['an unknown filter', set('filter', 'BLUR'), 'read.damaged'],
    ['fewer items than its view', set('count', 7), 'read.damaged'],
    ['a fraction of an item', set('count', 7.5), 'read.damaged'],
    ['bytes past its buffer', set('byteLength', 1e6), 'read.damaged'],
    ['bytes before its buffer', set('byteOffset', -4), 'read.damaged'],
    ['another buffer', set('buffer', 7), 'read.damaged'],
    ['more than any machine holds', set('count', 1e12), 'read.too-large'],
  ])('%s is refused', async (_, make, code) => {
    expect((await refusal(await make())).code).toBe(code);
  });

  test('damaged bytes are refused', async () => {
    const { json, binary } = await meshoptGlb(box);
    expect(
      (
        await refusal(
          glbOf(
            json,
            binary.map(() => 77),
          ),
        )
      ).code,
    ).toBe('read.damaged');
  });
});

describe('Draco', () => {
  // Quantization: half a step of the largest extent over 2^bits - 1.
  test.each([8, 12, 16])('points lie where %d bits put them', async (bits) => {
    const { corners, source } = await read((await dracoGlb(box, bits)).glb);
    expect(source.triangles).toBe(12);
    const half = 125 / (2 ** bits - 1) / 2;
    for (let i = 0; i < corners.length; i++) {
      const sides = [
        [0, 125],
        [0, 62.5],
        [0, 31.25],
      ][i % 3];
      expect(Math.min(...sides.map((side) => Math.abs(corners[i] - side)))).toBeLessThan(1.01 * half);
    }
    expect(shapes.measureSoup(corners).unmatchedEdges).toBe(0);
  });

  test.each<[string, (json: Json, set: (at: readonly (string | number)[], value: unknown) => void) => void]>([
    [
      'another attribute',
      (_, set) =>
        set(
          [
            'meshes',
            0,
            'primitives',
            0,
            'extensions',
            'KHR_draco_mesh_compression',
            'attributes',
            'POSITION',
          ],
          9,
        ),
    ],
    [
      'another view',
      (_, set) =>
        set(['meshes', 0, 'primitives', 0, 'extensions', 'KHR_draco_mesh_compression', 'bufferView'], 3),
    ],
    ['more points than packed', (_, set) => set(['accessors', 0, 'count'], 9)],
    ['fewer corners than packed', (_, set) => set(['accessors', 1, 'count'], 33)],
    ['an unknown type of number', (_, set) => set(['accessors', 0, 'componentType'], 5130)],
    ['a view past its buffer', (_, set) => set(['bufferViews', 0, 'byteLength'], 1e6)],
  ])('%s is refused', async (_, change) => {
    const { json, binary } = await dracoGlb(box, 12);
    const bytes = changed(json, binary, (copy) =>
      change(copy, (at, value) => {
        let place = copy as Record<string, unknown>;
        for (const key of at.slice(0, -1)) place = place[key] as Record<string, unknown>;
        place[at[at.length - 1]] = value;
      }),
    );
    expect((await refusal(bytes)).code).toMatch(/^read\.(damaged|invalid)$/);
  });

  test('damaged bytes are refused', async () => {
    const { json, binary } = await dracoGlb(box, 12);
    expect(
      (
        await refusal(
          glbOf(
            json,
            binary.map((x, i) => (i > 20 ? 255 - x : x)),
          ),
        )
      ).code,
    ).toBe('read.damaged');
    expect(
      (
        await refusal(
          glbOf(
            json,
            binary.map(() => 9),
          ),
        )
      ).code,
    ).toBe('read.damaged');
  });
});

describe('buffers beside the file', () => {
  const { json, buffer } = gltfOf(box);
  const at = (uri: string): Uint8Array =>
    new TextEncoder().encode(JSON.stringify({ ...json, buffers: [{ uri, byteLength: buffer.length }] }));
  const missing = new PartError({ code: 'read.missing', where: '', what: '', remedy: '' });

  test.each([
    ['part.bin', 'part.bin'],
    ['data/my%20part.bin', 'data/my part.bin'],
    ['./part.bin', './part.bin'],
  ])('%s', async (uri, path) => {
    const asked: string[] = [];
    const readBeside = async (one: string) => {
      asked.push(one);
      return buffer;
    };
    const { corners } = await read(at(uri), { readBeside });
    expect(corners.map((x) => x + 0)).toEqual(box);
    expect(asked).toEqual([path]);
  });

  test.each([
    'http://example.com/part.bin',
    'HTTPS://example.com/part.bin',
    'file:///etc/passwd',
    '//example.com/part.bin',
    '/etc/passwd',
    '../part.bin',
    'a/../../part.bin',
    '%2e%2e/part.bin',
    '..%2Fpart.bin',
    '%2Fetc%2Fpasswd',
    'c:/part.bin',
    '..\\part.bin',
    'a%00.bin',
    '',
  ])('%j is refused, and not asked for', async (uri) => {
    const readBeside = () => expect.unreachable('asked');
    const info = await refusal(at(uri), { readBeside });
    expect(info.code).toBe('read.external-address');
    expect(info.remedy).toContain('GLB');
  });

  test('all that are missing are named', async () => {
    const both = { ...json, buffers: ['a.bin', 'b.bin'].map((uri) => ({ uri, byteLength: 9 })) };
    const readBeside = () => Promise.reject(missing);
    const info = await refusal(new TextEncoder().encode(JSON.stringify(both)), { readBeside });
    expect(info).toMatchObject({ code: 'read.missing-resource' });
    expect(info.what).toContain('a.bin, b.bin');
  });

  test('one shorter than announced is refused', async () => {
    const readBeside = async () => buffer.subarray(0, buffer.length - 1);
    expect((await refusal(at('part.bin'), { readBeside })).code).toBe('read.truncated');
  });

  test('bytes in the address itself', async () => {
    const base64 = btoa(String.fromCharCode(...buffer));
    const { corners } = await read(at(`data:application/octet-stream;base64,${base64}`));
    expect(corners.map((x) => x + 0)).toEqual(box);
    expect((await refusal(at(`data:;base64,${base64.slice(0, 40)}`))).code).toBe('read.truncated');
  });
});
