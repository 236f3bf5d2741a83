import { describe, expect, test } from 'vitest';
import { readPart } from '../../src/read/read-part.js';
import * as shapes from '../support/shapes.js';
import { refusalOf } from '../support/refusal.js';

const read = (text: string) => readPart(new TextEncoder().encode(text), { name: 'part.obj' });
const refusal = (text: string) => refusalOf(read(text));

/** A box of 2 x 3 x 5 by its six sides. */
const VERTICES = [0, 1].flatMap((z) =>
  [0, 1].flatMap((y) => [0, 1].map((x) => `v ${2 * x} ${3 * y} ${5 * z}`)),
);
const FACES = ['1 3 4 2', '5 6 8 7', '1 2 6 5', '3 7 8 4', '1 5 7 3', '2 4 8 6'].map((face) => `f ${face}`);
const BOX = [...VERTICES, ...FACES].join('\n');

test.each<[string, string]>([
  ['four-cornered faces', BOX],
  ['CRLF', BOX.replaceAll('\n', '\r\n')],
  ['lone carriage returns', BOX.replaceAll('\n', '\r')],
  ['tabs and trailing spaces', BOX.replaceAll(' ', '\t').replaceAll('\n', '  \n')],
  [
    'textures and normals',
    BOX.replaceAll(/^f (.*)$/gm, (_, list) => `f ${list.replaceAll(/\d/g, '$&/1/1')}`),
  ],
  ['normals alone', BOX.replaceAll(/^f (.*)$/gm, (_, list) => `f ${list.replaceAll(/\d/g, '$&//1')}`)],
  [
    'indices from the end',
    BOX.replaceAll(/^f (.*)$/gm, (_, l) => `f ${l.replaceAll(/\d/g, (v: string) => `${Number(v) - 9}`)}`),
  ],
  [
    'faces before their vertices',
    [...FACES, ...VERTICES]
      .join('\n')
      .replace(/^/, 'v 9 9 9\n')
      .replaceAll(/^f (.*)$/gm, (_, l) => `f ${l.replaceAll(/\d/g, (v: string) => `${Number(v) + 1}`)}`),
  ],
  [
    'colours, weights, comments',
    BOX.replaceAll(/^v (.*)$/gm, 'v $1 1 0.5 0.5 0.5').replaceAll(/^f (.*)$/gm, 'f $1 # side'),
  ],
  ['lines carried on', BOX.replaceAll(/^f (\d \d) /gm, 'f $1 \\\n ').replaceAll(/^v (\d) /gm, 'v $1 \\\r\n')],
  ['a long licence before it', `${'# all rights reversed\n'.repeat(2000)}${BOX}`],
  ['names, groups and materials', `mtllib a b.mtl\ng left side\ns off\nusemtl x\n${BOX}\n`],
])('%s', async (_, text) => {
  const { corners, source, findings } = await read(text);
  expect(source).toMatchObject({ format: 'obj', triangles: 12, unit: 'mm', unitFrom: 'default' });
  expect(findings).toEqual([]);
  const { volume, unmatchedEdges } = shapes.measureSoup(corners);
  expect(volume).toBeCloseTo(30, 12);
  expect(unmatchedEdges).toBe(0);
});

describe('faces of many corners', () => {
  /** Rings in a plane that is aligned with no axis; orthonormal. */
  const ACROSS = [2 / 7, 3 / 7, 6 / 7],
    UP = [3 / 7, -6 / 7, 2 / 7];
  const polygon = (ring: readonly (readonly [number, number])[]): string =>
    [
      ...ring.map(([x, y]) => `v ${ACROSS.map((a, i) => x * a + y * UP[i]).join(' ')}`),
      `f ${ring.map((_, k) => k + 1).join(' ')}`,
    ].join('\n');
  /** Shoelace formula. */
  const areaOf = (ring: readonly (readonly [number, number])[]): number =>
    ring.reduce((sum, [x, y], k) => {
      const [u, v] = ring[(k + 1) % ring.length];
      return sum + (x * v - u * y) / 2;
    }, 0);
  const COMB: [number, number][] = [
    [0, 0],
    [7, 0],
    [7, 5],
    [6, 5],
    [6, 1],
    [4, 1],
    [4, 5],
    [3, 5],
    [3, 1],
    [1, 1],
    [1, 5],
    [0, 5],
  ];
  const STAR = Array.from({ length: 24 }, (_, k): [number, number] => {
    const radius = k % 2 === 0 ? 10 : 3;
    return [radius * Math.cos((k * Math.PI) / 12), radius * Math.sin((k * Math.PI) / 12)];
  });

  test.each([
    ['a comb', COMB],
    ['a comb the other way round', [...COMB].reverse()],
    ['a star', STAR],
  ])('%s: the area of the ring, facing as it does', async (_, ring) => {
    const { corners } = await read(polygon(ring));
    expect(corners.length / 9).toBe(ring.length - 2);
    expect(shapes.measureSoup(corners).area).toBeCloseTo(Math.abs(areaOf(ring)), 12);
    const normal = [0, 1, 2].map((i) => {
      const [j, k] = [(i + 1) % 3, (i + 2) % 3];
      return ACROSS[j] * UP[k] - ACROSS[k] * UP[j];
    });
    const facing = shapes.areaWhere(
      corners,
      (__, n) => normal.reduce((sum, x, i) => sum + x * n[i], 0) > 0.999,
    );
    expect(facing).toBeCloseTo(Math.max(0, areaOf(ring)), 12);
  });

  // Along a side of the lid end sides of the neighbours: without its corners there the part would be cracked.
  test('corners on a straight side are kept', async () => {
    const [x, y, z] = [4, 2, 1];
    const ring = [
      [0, 0],
      [1, 0],
      [2, 0],
      [3, 0],
      [x, 0],
      [x, y],
      [2, y],
      [0, y],
      [0, 1],
    ];
    const lines = [
      ...ring.map(([a, b]) => `v ${a} ${b} ${z}`),
      ...ring.map(([a, b]) => `v ${a} ${b} 0`),
      `f ${ring.map((_, k) => k + 1).join(' ')}`,
      `f ${ring.map((_, k) => 2 * ring.length - k).join(' ')}`,
      ...ring.map((_, k) => {
        const next = (k + 1) % ring.length;
        return `f ${k + 1} ${ring.length + k + 1} ${ring.length + next + 1} ${next + 1}`;
      }),
    ];
    const { corners } = await read(lines.join('\n'));
    const { volume, unmatchedEdges } = shapes.measureSoup(corners);
    expect(volume).toBeCloseTo(x * y * z, 12);
    expect(unmatchedEdges).toBe(0);
  });
});

describe('findings', () => {
  test('lines and points are left out, words that OBJ lacks are told with their line', async () => {
    const { source, findings } = await read(`${BOX}\nl 1 2\np 3\nwobble 1 2\nwobble 3\n`);
    expect(source.triangles).toBe(12);
    expect(findings).toMatchObject([
      { code: 'read.no-surface', count: 2 },
      { code: 'read.unknown-words', count: 2, severity: 'warning' },
    ]);
    expect(findings[1].message).toContain('"wobble" in line 17');
  });

  test('several objects are one part', async () => {
    const { findings } = await read(`o one\n${BOX}\no two\n`);
    expect(findings).toMatchObject([{ code: 'read.several-solids', count: 2 }]);
  });
});

test.each<[string, string, string, RegExp]>([
  ['a decimal comma', BOX.replace('v 2 0 0', 'v 2,5 0 0'), 'read.not-a-number', /line 2/],
  ['NaN', BOX.replace('v 2 0 0', 'v nan 0 0'), 'read.non-finite', /line 2/],
  ['two coordinates', BOX.replace('v 2 0 0', 'v 2 0'), 'read.not-a-number', /line 2/],
  ['two corners', BOX.replace('f 1 3 4 2', 'f 1 3'), 'read.not-a-triangle', /line 9/],
  ['a corner that is not there', BOX.replace('f 1 3 4 2', 'f 1 3 4 99'), 'read.damaged', /face 1/],
  ['corner 0', BOX.replace('f 1 3 4 2', 'f 0 1 2'), 'read.damaged', /line 9/],
  ['a corner before the first', BOX.replace('f 1 3 4 2', 'f -9 -8 -7'), 'read.damaged', /line 9/],
  ['a corner that is no number', BOX.replace('f 1 3 4 2', 'f 1 x 4'), 'read.damaged', /line 9/],
  ['no faces', VERTICES.join('\n'), 'read.no-triangles', /part.obj/],
])('%s is refused', async (_, text, code, where) => {
  const info = await refusal(text);
  expect(info.code).toBe(code);
  expect(info.where).toMatch(where);
});
