import { describe, expect, test } from 'vitest';
import { readPart } from '../../src/read/read-part.js';
import { plyBinaryFile, plyTextFile } from '../support/formats.js';
import * as shapes from '../support/shapes.js';
import { refusalOf } from '../support/refusal.js';

const read = (bytes: Uint8Array | string) =>
  readPart(typeof bytes === 'string' ? new TextEncoder().encode(bytes) : bytes, { name: 'part.ply' });
const refusal = (bytes: Uint8Array | string) => refusalOf(read(bytes));

const box = shapes.rounded(shapes.turned(shapes.box(10, 20, 30), 20));
const text = new TextDecoder().decode(plyTextFile(box));

/** A PLY of one triangle written in the types given. */
const small = (types: string, list: string, rows: string): string =>
  `ply\nformat ascii 1.0\nelement vertex 3\n${types}\nelement face 1\nproperty list ${list}\nend_header\n${rows}`;
const FLOATS = 'property float x\nproperty float y\nproperty float z';
const POINTS = '0 0 0\n1 0 0\n0 1 0\n';

describe('read', () => {
  test.each([true, false])('binary, little-endian: %s', async (isLittle) => {
    const { corners, source, findings } = await read(plyBinaryFile(box, isLittle));
    expect(corners).toEqual(box);
    expect(source).toMatchObject({ format: 'ply-binary', unit: 'mm', unitFrom: 'default' });
    expect(findings).toEqual([]);
  });

  test.each([
    ['as written', text],
    ['with CRLF', text.replaceAll('\n', '\r\n')],
    ['with lone carriage returns', text.replaceAll('\n', '\r')],
    ['with comments', text.replace('element face', 'obj_info 1\ncomment element vertex 3\nelement face')],
    ['without a last line end', text.trimEnd()],
  ])('ASCII %s', async (_, content) => {
    const { corners, findings } = await read(content);
    expect(corners).toEqual(box);
    expect(findings).toEqual([]);
  });

  // A lone carriage return ends the header; the first byte behind it is a newline's.
  test('a binary file whose first byte looks like a line end', async () => {
    const header = `ply\rformat binary_little_endian 1.0\relement vertex 3\rproperty uchar x\rproperty uchar y\r`;
    const rest = 'property uchar z\relement face 1\rproperty list uchar uchar vertex_index\rend_header\r';
    const bytes = new Uint8Array([
      ...new TextEncoder().encode(header + rest),
      10,
      0,
      0,
      1,
      0,
      0,
      0,
      1,
      0,
      3,
      0,
      1,
      2,
    ]);
    expect([...(await read(bytes)).corners]).toEqual([10, 0, 0, 1, 0, 0, 0, 1, 0]);
  });

  test.each([
    ['doubles and names with sizes', FLOATS.replaceAll('float', 'float64'), 'uint8 int32 vertex_indices'],
    ['integers', FLOATS.replaceAll('float', 'short'), 'int uint vertex_index'],
    ['lists at vertices', `${FLOATS}\nproperty list uchar float weights`, 'uchar int vertex_indices'],
  ])('%s', async (_, types, list) => {
    const rows = types.includes('weights') ? POINTS.replaceAll('\n', ' 2 0.5 0.5\n') : POINTS;
    expect([...(await read(small(types, list, `${rows}3 0 1 2\n`))).corners]).toEqual([
      0, 0, 0, 1, 0, 0, 0, 1, 0,
    ]);
  });

  test('words where no coordinate is do not matter', async () => {
    const content = small(
      `${FLOATS}\nproperty float nx`,
      'uchar int vertex_indices',
      '0 0 0 nan\n1 0 0 -nan\n0 1 0 inf\n3 0 1 2',
    );
    expect((await read(content)).source.triangles).toBe(1);
  });

  test('what follows the last element is a finding', async () => {
    const bytes = plyBinaryFile(box, true);
    const { corners, findings } = await read(Uint8Array.from([...bytes, 1, 2, 3]));
    expect(corners).toEqual(box);
    expect(findings).toMatchObject([{ code: 'read.trailing-bytes', count: 3 }]);
  });
});

describe('refused', () => {
  test.each([1, 14, 15, 100])('binary lacking %d bytes', async (lack) => {
    const bytes = plyBinaryFile(box, true);
    expect((await refusal(bytes.subarray(0, bytes.length - lack))).code).toBe('read.truncated');
  });

  test.each<[string, string, string, RegExp]>([
    ['cut in the header', text.slice(0, 100), 'read.damaged', /end_header/],
    ['cut in its vertices', text.slice(0, text.indexOf('end_header') + 60), 'read.truncated', /announces/],
    ['cut in its faces', text.slice(0, -20), 'read.truncated', /"face"/],
    ['version 2', text.replace('ascii 1.0', 'ascii 2.0'), 'read.damaged', /format "ascii 2.0"/],
    ['an unknown type', text.replace('property float x', 'property long x'), 'read.damaged', /long x/],
    ['no z', text.replace('property float z', 'property float w'), 'read.damaged', /lack/],
    [
      'no faces',
      'ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nend_header\n0\n',
      'read.no-triangles',
      /without faces/,
    ],
    ['strips', 'ply\nformat ascii 1.0\nelement tristrips 1\nend_header\n', 'read.no-triangles', /strips/],
    [
      'a coordinate that is no number',
      small(FLOATS, 'uchar int vertex_indices', `0 0 x\n${POINTS.slice(6)}3 0 1 2`),
      'read.non-finite',
      /finite/,
    ],
    [
      'a corner that is not there',
      small(FLOATS, 'uchar int vertex_indices', `${POINTS}3 0 1 3`),
      'read.damaged',
      /vertex 4 of 3/,
    ],
    [
      'a list that is none',
      small(FLOATS, 'char int vertex_indices', `${POINTS}-3 0 1 2`),
      'read.damaged',
      /items/,
    ],
    // 9e14 vertices would be 20 000 TB.
    [
      'counts out of all proportion',
      text.replace(/element vertex \d+/, 'element vertex 900000000000000'),
      'read.truncated',
      /left/,
    ],
  ])('%s', async (_, content, code, what) => {
    const info = await refusal(content);
    expect(info.code).toBe(code);
    expect(info.what).toMatch(what);
  });
});
