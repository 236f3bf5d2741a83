import { XMLParser, XMLValidator } from 'fast-xml-parser';
import { expect, test } from 'vitest';
import { CLASSES } from '../../src/core/classes.js';
import { labelPoints } from '../../src/write/label-points.js';
import { planDrawing, scaleName, type PlanDrawing } from '../../src/write/plan-drawing.js';

const box = (x: number, y: number, w: number, h: number) =>
  Float64Array.of(x, y, x + w, y, x + w, y + h, x, y + h);
const DRAWING: PlanDrawing = {
  part: 'dish & <lid>.stl',
  fileDate: '2026-03-01',
  setUp: ['Split 45°', 'Overlap 3°'],
  boundsMm: { min: [-20, -10, 0], max: [100, 70, 25.5] },
  legend: { steep: 'steep, above 48°' },
  regions: [
    { id: 1, cls: 'shallow', rings: [box(-20, -10, 60, 80)] },
    { id: 2, cls: 'overlap', rings: [box(40, -10, 5, 80)] },
    {
      id: 3,
      cls: 'steep',
      rings: [
        box(45, -10, 55, 80),
        box(60, 10, 10, 10)
          .reverse()
          .map((_, i, a) => a[i % 2 ? i - 1 : i + 1]),
      ],
    },
    { id: 4, cls: 'level', rings: [box(60, 10, 0.4, 0.4)] },
    { id: 5, cls: 'outside', rings: [] },
  ],
  tightRegions: [
    { id: 1, centreMm: [50, 60, 3], reachRadiusMm: 1.239 },
    { id: 2, centreMm: [0, 0, 3], reachRadiusMm: 0 },
    { id: 3, centreMm: [99, -9, 3], reachRadiusMm: 'unlimited' },
  ],
};

interface Node {
  readonly [key: string]: unknown;
}
const nodes = (value: unknown): Node[] =>
  (Array.isArray(value) ? value : value === undefined ? [] : [value]) as Node[];
function parse(text: string): Node {
  expect(XMLValidator.validate(text)).toBe(true);
  return (
    new XMLParser({ ignoreAttributes: false, parseTagValue: false, parseAttributeValue: false }).parse(
      text,
    ) as { svg: Node }
  ).svg;
}
const group = (svg: Node, id: string) => nodes(svg.g).find((one) => one['@_id'] === id)!;
function texts(node: Node): string[] {
  return Object.entries(node).flatMap(([tag, value]) =>
    tag === 'text'
      ? nodes(value).map((one) => String(typeof one === 'object' ? one['#text'] : one))
      : typeof value === 'object'
        ? nodes(value).flatMap(texts)
        : [],
  );
}
/** All pairs of path data of the class groups, on paper, y down. */
const corners = (svg: Node, cls: string) =>
  nodes(group(svg, `class-${cls}`).path).flatMap((path) =>
    [...String(path['@_d']).matchAll(/(-?[\d.]+) (-?[\d.]+)/g)].map((m) => [Number(m[1]), Number(m[2])]),
  );

// Paper sizes of ISO 216; scales of ISO 5455.
test.each([
  ['A4', 297, 210, '1:1'],
  ['A3', 420, 297, '2:1'],
] as const)(
  '%s: its size in mm, a standard scale, everything inside the frame',
  (paper, width, height, scale) => {
    const svg = parse(planDrawing(DRAWING, paper));
    expect([svg['@_width'], svg['@_height'], svg['@_viewBox']]).toEqual([
      `${width}mm`,
      `${height}mm`,
      `0 0 ${width} ${height}`,
    ]);
    expect(texts(group(svg, 'title-block'))).toContain(`Scale ${scale} on ${paper}`);
    const all = ['shallow', 'overlap', 'steep', 'level'].flatMap((cls) => corners(svg, cls));
    const xs = all.map(([x]) => x),
      ys = all.map(([, y]) => y);
    const factor = scale === '1:1' ? 1 : 2;
    // 120 by 80 mm of part.
    expect(Math.max(...xs) - Math.min(...xs)).toBeCloseTo(120 * factor, 3);
    expect(Math.max(...ys) - Math.min(...ys)).toBeCloseTo(80 * factor, 3);
    expect(Math.min(...xs)).toBeGreaterThan(20);
    expect(Math.max(...xs)).toBeLessThan(width - 10);
    expect(Math.min(...ys)).toBeGreaterThan(10);
    expect(Math.max(...ys)).toBeLessThan(height - 10);
    // North is up: the hole of the steep region lies in the lower half.
    const hole = corners(svg, 'steep').slice(4);
    expect(Math.min(...hole.map(([, y]) => y))).toBeGreaterThan((Math.min(...ys) + Math.max(...ys)) / 2);
  },
);

test('says what it must: dimensions, numbers, call-outs with radius, legend, title block with the day of the file', () => {
  const svg = parse(planDrawing(DRAWING, 'A4'));
  expect(texts(group(svg, 'dimensions'))).toEqual(['120', '80']);
  expect(texts(group(svg, 'region-numbers'))).toEqual(['1', '2', '3']);
  expect(texts(group(svg, 'tight-regions')).sort()).toEqual(['T1 R 1.24', 'T2 no ball', 'T3 any ball']);
  const block = texts(group(svg, 'title-block'));
  expect(block).toEqual([
    'dish & <lid>.stl',
    'Size 120 × 80 × 25.5 mm',
    'Scale 1:1 on A4',
    'File of 2026-03-01',
    'Plan view along the tool axis',
    'Split 45°',
    'Overlap 3°',
  ]);
  const legend = texts(group(svg, 'legend')).join(' ');
  expect(legend).toMatch(/level shallow overlap steep, above 48° outside/);
  expect(legend).toContain('Too small to number here: 4.');
  expect(legend).toContain('verify by simulation and at the machine');
  expect(texts(parse(planDrawing({ ...DRAWING, fileDate: null }, 'A4')))).toContain('File of unknown date');
});

test('black-and-white safe: no two classes have the same lines, and every class is outlined', () => {
  const regions = CLASSES.map((cls, id) => ({ id, cls, rings: [box(10 * id, 0, 10, 20)] }));
  const svg = parse(planDrawing({ ...DRAWING, regions }, 'A4'));
  const lines = nodes((svg.defs as Node).pattern).map((one) =>
    nodes(one.path)
      .map((path) => path['@_d'])
      .join(),
  );
  expect(new Set(lines).size).toBe(CLASSES.length);
  for (const cls of CLASSES) expect(group(svg, `class-${cls}`)['@_stroke']).toBe('#111111');
});

// In a row, in a cluster, and all over the part.
test.each<[string, (i: number) => [number, number], number]>([
  ['in a row', (i) => [i, 60 - i / 10], 25],
  ['in a cluster', (i) => [40 + 2.3 * (i % 10), 30 + 1.7 * Math.floor(i / 10)], 10],
  ['all over', (i) => [-18 + 116 * ((i * 0.618) % 1), -8 + 76 * ((i * 0.414) % 1)], 60],
])(
  'many tight regions %s: their names cover each other nowhere, leaders are short and cross nothing, the rest is counted',
  (_, at, least) => {
    const tightRegions = Array.from({ length: 100 }, (__, i) => ({
      id: i + 1,
      centreMm: [...at(i), 0] as const,
      reachRadiusMm: 2,
    }));
    const svg = parse(planDrawing({ ...DRAWING, tightRegions }, 'A4'));
    const drawn = group(svg, 'tight-regions');
    const boxes = nodes(drawn.rect).map((one) =>
      ['x', 'y', 'width', 'height'].map((key) => Number(one[`@_${key}`])),
    );
    expect(boxes.length).toBeGreaterThan(least);
    boxes.forEach(([x, y, w, h], i) => {
      for (const [u, v, p, q] of boxes.slice(i + 1))
        expect(x >= u + p || u >= x + w || y >= v + q || v >= y + h).toBe(true);
    });
    const leaders = nodes(drawn.path).map(({ '@_d': line }) =>
      (String(line).match(/-?[\d.]+/g) ?? []).map(Number),
    );
    expect(leaders.length).toBe(boxes.length);
    // Points along a leader, its ends left out: in no name, and those of two are apart on a path from one to the other.
    leaders.forEach(([x, y, u, v], i) => {
      // A sixth of the part's 120 mm.
      expect(Math.hypot(x - u, y - v)).toBeLessThan(20);
      for (let s = 0.01; s < 0.99; s += 0.02) {
        const [px, py] = [x + s * (u - x), y + s * (v - y)];
        for (const [left, top, w, h] of boxes)
          expect(px > left + 0.01 && px < left + w - 0.01 && py > top + 0.01 && py < top + h - 0.01).toBe(
            false,
          );
      }
      for (const [a, b, c, d] of leaders.slice(i + 1)) {
        const det = (u - x) * (d - b) - (v - y) * (c - a);
        const s = ((a - x) * (d - b) - (b - y) * (c - a)) / det,
          t = ((a - x) * (v - y) - (b - y) * (u - x)) / det;
        expect(s > 0.01 && s < 0.99 && t > 0.01 && t < 0.99).toBe(false);
      }
    });
    expect(texts(group(svg, 'legend')).join(' ')).toContain(`${100 - boxes.length} more tight places`);
  },
);

test('the place of a number is the roomiest: middle of a square, inside a ring, nowhere in nothing', () => {
  const [middle] = labelPoints([box(2, 3, 10, 10)]);
  expect(middle.x).toBeCloseTo(7, 0);
  expect(middle.y).toBeCloseTo(8, 0);
  expect(middle.clearanceMm).toBeGreaterThan(4.5);
  const [inRing] = labelPoints([box(0, 0, 30, 30), box(2, 2, 20, 20)]);
  expect(Math.max(inRing.x, inRing.y)).toBeGreaterThan(22);
  expect(labelPoints([])).toEqual([]);
});

test('the same drawing gives the same bytes; what cannot be drawn is refused', () => {
  expect(planDrawing(DRAWING, 'A3')).toBe(planDrawing(DRAWING, 'A3'));
  const sized = (w: number) => ({ ...DRAWING, boundsMm: { min: [0, 0, 0], max: [w, 5, 5] } }) as const;
  expect(() => planDrawing(sized(0), 'A4')).toThrow(RangeError);
  expect(() => planDrawing(sized(1e8), 'A4')).toThrow(RangeError);
  expect([scaleName(0.02), scaleName(5)]).toEqual(['1:50', '5:1']);
});
