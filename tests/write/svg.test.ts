import { XMLParser, XMLValidator } from 'fast-xml-parser';
import { expect, test } from 'vitest';
import { CLASS_INDEX, type SurfaceClass } from '../../src/core/classes.js';
import type { Outlines } from '../../src/outlines/types.js';
import { classGroups, outlinesSvg, type OutlineSheet } from '../../src/write/svg.js';
import { evenOddArea, type Polygon } from '../support/check-rings.js';

// Region 0: 30 x 20 frame with a triangular hole; region 1 fills the hole. Area of the hole: 10 * 5 / 2 = 25.
const RINGS: readonly { region: number; points: number[] }[] = [
  { region: 0, points: [-3, 4, 27, 4, 27, 24, -3, 24] },
  { region: 0, points: [5, 10, 10, 15, 15, 10] },
  { region: 1, points: [5, 10, 15, 10, 10, 15] },
];
const outlines: Outlines = {
  points: Float64Array.from(RINGS.flatMap((ring) => ring.points)),
  heights: new Float64Array(10),
  start: Uint32Array.from([0, 4, 7, 10]),
  regionOfRing: Int32Array.from(RINGS, (ring) => ring.region),
};
const sheet = (more: Partial<OutlineSheet> = {}): OutlineSheet => ({
  title: 'Dish & "lid" <v2>',
  description: 'Plan outlines.',
  boundsMm: { min: [-3, 4], max: [27, 24] },
  groups: classGroups(outlines, [CLASS_INDEX.steep, CLASS_INDEX.overlap]),
  ...more,
});

interface Node {
  [tag: string]: string | Node | Node[];
}
const parse = (svg: string): Node => {
  expect(XMLValidator.validate(svg)).toBe(true);
  const parser = new XMLParser({
    ignoreAttributes: false,
    isArray: (tag) => ['g', 'path', 'text', 'rect', 'pattern'].includes(tag),
  });
  return (parser.parse(svg) as { svg: Node }).svg;
};
const group = (svg: Node, id: string) => (svg.g as Node[]).find((g) => g['@_id'] === id)!;
/** Rings of path data made of M, L and Z only, y turned up again. */
const ringsOf = (path: Node): Polygon[] =>
  String(path['@_d'])
    .split('Z')
    .slice(0, -1)
    .map((ring) => {
      expect(ring).toMatch(/^M-?[\d.]+ -?[\d.]+(L-?[\d.]+ -?[\d.]+){2,}$/);
      return ring
        .slice(1)
        .split('L')
        .map((pair) => pair.split(' ').map(Number))
        .map(([x, y]) => [x, -y] as const);
    });

// SVG 2: user units become millimetres when width and height are in mm and equal the viewBox's size.
test('true size: width and height in mm equal the viewBox, which holds the part with a margin', () => {
  const svg = parse(outlinesSvg(sheet()));
  const [left, top, width, height] = String(svg['@_viewBox']).split(' ').map(Number);
  expect([svg['@_width'], svg['@_height']]).toEqual([`${width}mm`, `${height}mm`]);
  expect(left).toBeLessThan(-3);
  expect(left + width).toBeGreaterThan(27);
  expect(top).toBeLessThan(-24);
  expect(top + height).toBeGreaterThan(-4);
});

test('one group per class in the order of classes; rings close, y is turned once, even-odd areas are the plan areas', () => {
  const svg = parse(outlinesSvg(sheet()));
  expect((svg.g as Node[]).map((g) => g['@_id'])).toEqual(['class-overlap', 'class-steep', 'furniture']);
  const areas = ['class-steep', 'class-overlap'].map((id) => {
    expect(group(svg, id)['@_fill-rule']).toBe('evenodd');
    expect(group(svg, id)['@_stroke']).toMatch(/^#/);
    return (group(svg, id).path as Node[]).reduce((sum, path) => sum + evenOddArea(ringsOf(path)), 0);
  });
  expect(areas).toEqual([575, 25]);
  const [first] = ringsOf((group(svg, 'class-steep').path as Node[])[0]);
  expect(first).toEqual([
    [-3, 4],
    [27, 4],
    [27, 24],
    [-3, 24],
  ]);
  expect((group(svg, 'class-overlap').path as Node[])[0]['@_id']).toBe('region-1');
});

// Paul Tol, SRON/EPS/TN/09-002, muted scheme: indigo, cyan, sand, green.
test.each<[SurfaceClass, string]>([
  ['steep', '#332288'],
  ['overlap', '#88CCEE'],
  ['shallow', '#DDCC77'],
  ['level', '#117733'],
])('%s is %s, overlap behind a hatch', (cls, colour) => {
  const svg = parse(outlinesSvg(sheet({ groups: classGroups(outlines, [CLASS_INDEX[cls], -1]) })));
  const fill = String(group(svg, `class-${cls}`)['@_fill']);
  if (cls !== 'overlap') return expect(fill).toBe(colour);
  const pattern = ((svg.defs as Node).pattern as Node[]).find((one) => `url(#${one['@_id']})` === fill)!;
  expect((pattern.rect as Node[])[0]['@_fill']).toBe(colour);
  expect(pattern.path as Node[]).toHaveLength(1);
});

test('the scale bar is as long as it says', () => {
  const svg = parse(outlinesSvg(sheet()));
  const furniture = group(svg, 'furniture');
  const bar = /^M(-?[\d.]+) -?[\d.]+V-?[\d.]+H(-?[\d.]+)V/.exec(
    String((furniture.path as Node[])[0]['@_d']),
  )!;
  expect(`${Number(bar[2]) - Number(bar[1])} mm`).toBe(
    String((furniture.text as Node[])[0]['#text']).split(',')[0],
  );
});

test('names of passes and cutters are groups of lines; odd characters are escaped', () => {
  const shape = { id: 'c<1>', title: 'a & b', rings: [Float64Array.from([0, 0, 1, 0, 0, 1])] };
  const groups = [
    { id: 'pass-waterline', title: 'waterline', look: 'waterline', shapes: [shape] },
    { id: 'cutter-"6"', title: '\u0000', look: 'centre', shapes: [] },
  ] as const;
  const svg = parse(outlinesSvg(sheet({ groups })));
  expect((svg.g as Node[]).map((g) => g['@_fill'])).toEqual(['none', 'none', '#222222']);
  expect((svg.title as Node)['#text']).toBe('Dish & "lid" <v2>');
  expect((group(svg, 'pass-waterline').path as Node[])[0]['@_id']).toBe('c<1>');
  expect((svg.g as Node[])[1].title).toBe('\uFFFD');
});

test('the same sheet gives the same text, with four decimals at most', () => {
  const third = { ...outlines, points: outlines.points.map((value) => value / 3) };
  const once = outlinesSvg(sheet({ groups: classGroups(third, [3, 2]) }));
  expect(outlinesSvg(sheet({ groups: classGroups(third, [3, 2]) }))).toBe(once);
  expect(once).not.toMatch(/\.\d{5}|NaN|Infinity|\de-\d/);
  expect(once).toContain('M-1 -1.3333L9 -1.3333L9 -8L-1 -8Z');
});

test('refuses what cannot be drawn', () => {
  const bad = {
    id: 'x',
    title: 'x',
    look: 'steep',
    shapes: [{ id: 'y', title: 'y', rings: [Float64Array.of(NaN, 0)] }],
  } as const;
  expect(() => outlinesSvg(sheet({ groups: [bad] }))).toThrow(RangeError);
  const twice = classGroups(outlines, [3, 3]);
  expect(() => outlinesSvg(sheet({ groups: [...twice, ...twice] }))).toThrow(/used twice/);
});
