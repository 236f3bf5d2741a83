import DxfParser from 'dxf-parser';
import { expect, test } from 'vitest';
import { fitArcs, type ArcPath } from '../../src/outlines/fit-arcs.js';
import { outlinesDxf, type DxfLayer } from '../../src/write/dxf.js';

interface Entity {
  readonly type: string;
  readonly layer: string;
  readonly shape: boolean;
  readonly is3dPolyline: boolean;
  readonly vertices: readonly { x: number; y: number; z?: number; bulge?: number }[];
}
interface Drawing {
  readonly header: Record<string, unknown>;
  readonly tables: { readonly layer: { readonly layers: Record<string, { colorIndex: number }> } };
  readonly entities: readonly Entity[];
}
/** Read back by a library that has nothing to do with the one that wrote. */
const readBack = (text: string): Drawing => {
  // The package's types describe its ES build; Node loads the other one, which is the class itself.
  const Parser = DxfParser as unknown as new () => { parseSync(text: string): unknown };
  return new Parser().parseSync(text) as Drawing;
};

const circle = Float64Array.from({ length: 96 }, (_, i) =>
  i % 2 ? 3 + 8 * Math.sin((Math.PI * (i - 1)) / 48) : -7 + 8 * Math.cos((Math.PI * i) / 48),
);
const triangle: ArcPath = {
  points: Float64Array.of(0, 0, 1 / 3, 1e-9, 0, 5),
  bulges: new Float64Array(3),
  closed: true,
};
const LAYERS: readonly DxfLayer[] = [
  { name: 'steep contact B6', colour: 5, outlines: [fitArcs(circle), triangle], curves: [] },
  {
    name: 'shallow 3/8" cut',
    colour: 2,
    outlines: [],
    curves: [
      { points: Float64Array.of(0, 0, 1, 10, 0, 2.5, 10, 10, 1 / 3), closed: false },
      { points: Float64Array.of(0, 0, -1, 10, 0, -1, 10, 10, -2), closed: true },
    ],
  },
];

test('units, layers, arcs with bulges, straight sides and curves in space come back as they went in', async () => {
  const drawing = readBack(await outlinesDxf(LAYERS));
  // DXF reference: $INSUNITS 4 is millimetres.
  expect(drawing.header.$INSUNITS).toBe(4);
  expect(drawing.tables.layer.layers).toMatchObject({
    'steep contact B6': { colorIndex: 5 },
    'shallow 3-8- cut': { colorIndex: 2 },
  });
  const [round, straight, open, closed] = drawing.entities;
  expect(drawing.entities.map((one) => [one.type, one.layer])).toEqual([
    ['LWPOLYLINE', 'steep contact B6'],
    ['LWPOLYLINE', 'steep contact B6'],
    ['POLYLINE', 'shallow 3-8- cut'],
    ['POLYLINE', 'shallow 3-8- cut'],
  ]);
  expect(round.shape).toBe(true);
  // Bulge 1 is a half circle, counter-clockwise (DXF reference, group code 42).
  expect(round.vertices.map((v) => [v.x, v.y, v.bulge])).toEqual([
    [-15, 3, 1],
    [1, 3, 1],
  ]);
  expect(straight.vertices.map((v) => [v.x, v.y])).toEqual([
    [0, 0],
    [0.3333, 0],
    [0, 5],
  ]);
  expect(open.is3dPolyline).toBe(true);
  expect([open.shape, closed.shape]).toEqual([false, true]);
  expect(open.vertices.map((v) => [v.x, v.y, v.z])).toEqual([
    [0, 0, 1],
    [10, 0, 2.5],
    [10, 10, 0.3333],
  ]);
  expect(closed.vertices.map((v) => v.z)).toEqual([-1, -1, -2]);
});

test('plain ASCII pairs of group code and value, the same bytes each time, no day or name of a run', async () => {
  const text = await outlinesDxf(LAYERS);
  expect(await outlinesDxf(LAYERS)).toBe(text);
  expect(text).toMatch(/^[\x20-\x7e\n]*$/);
  const lines = text.trimEnd().split('\n');
  expect(lines.length % 2).toBe(0);
  lines.forEach((line, i) => {
    if (i % 2 === 0 && !/^ *\d+$/.test(line)) expect.fail(`line ${i + 1}: ${line}`);
  });
  expect(lines.at(-1)).toBe('EOF');
  expect(text).not.toMatch(/\de-\d|NaN|Infinity/);
});

// Names of layers are compared without regard to capitals.
test('names that become the same get a number', async () => {
  const layers = ['B/6', 'B:6', 'b-6', 'B-6 2'].map((name) => ({ ...LAYERS[0], name }));
  const text = await outlinesDxf(layers);
  const names = [...text.matchAll(/AcDbLayerTableRecord\n *2\n(.*)\n/g)].map(([, name]) => name);
  expect(names.slice(-4)).toEqual(['B-6', 'B-6 2', 'b-6 3', 'B-6 2 2']);
});

test('refuses what the format cannot hold', async () => {
  const one = LAYERS[0];
  await expect(outlinesDxf([one, one])).rejects.toThrow(RangeError);
  await expect(outlinesDxf([{ ...one, colour: 0 }])).rejects.toThrow(RangeError);
  await expect(outlinesDxf([{ ...one, colour: 1.5 }])).rejects.toThrow(RangeError);
  const nan = { points: Float64Array.of(NaN, 0, 0), closed: false };
  await expect(outlinesDxf([{ ...one, curves: [nan] }])).rejects.toThrow(RangeError);
});
