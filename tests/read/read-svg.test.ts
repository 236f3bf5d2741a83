import { beforeAll, expect, test } from 'vitest';
import { PartError } from '../../src/core/errors.js';
import { loadClipper, type Clipper } from '../../src/outlines/clipper.js';
import { readSvgOutlines, READ_SVG_DEFAULTS } from '../../src/read/read-svg.js';
import { pointInRings, type Rings } from '../../src/outlines/ring-measures.js';
import { insideRings } from '../../src/outlines/within-mask.js';
import { outlinesSvg } from '../../src/write/svg.js';
import { evenOddArea, farthest, type Polygon } from '../support/check-rings.js';

let clipper: Clipper;
beforeAll(async () => {
  clipper = await loadClipper();
});

const svg = (body: string, head = 'width="200mm" height="100mm" viewBox="0 0 200 100"') =>
  `<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" ${head}>${body}</svg>`;
const read = (text: string, only: string | null = null) =>
  readSvgOutlines(text, clipper, { ...READ_SVG_DEFAULTS, where: 'w.svg', only });
const polygons = (rings: Rings): Polygon[] =>
  rings.map((ring) =>
    Array.from({ length: ring.length / 2 }, (_, i) => [ring[2 * i], ring[2 * i + 1]] as const),
  );
const area = (rings: Rings) => evenOddArea(polygons(rings));
const bounds = (rings: Rings) => {
  const all = polygons(rings).flat();
  const [xs, ys] = [all.map(([x]) => x), all.map(([, y]) => y)];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
};
const expectNear = (values: readonly number[], expected: readonly number[], digits = 4) =>
  expected.forEach((value, i) => expect(values[i]).toBeCloseTo(value, digits));

// Areas of the shapes of SVG 1.1, chapters 8 and 9, by elementary geometry.
const ARC_FLAT = 'M10 50a20 20 0 0 1 40 0a20 20 0 0140 0z';
test.each<[string, string, number, number[]]>([
  ['rect', '<rect x="10" y="20" width="30" height="40"/>', 1200, [10, -60, 40, -20]],
  [
    'rounded rect, one radius given',
    '<rect x="10" y="20" width="30" height="40" rx="5"/>',
    1200 - (4 - Math.PI) * 25,
    [10, -60, 40, -20],
  ],
  [
    'rect, radii cut to half',
    '<rect width="30" height="40" rx="50" ry="4"/>',
    1200 - (4 - Math.PI) * 15 * 4,
    [0, -40, 30, 0],
  ],
  ['circle', '<circle cx="50" cy="50" r="20"/>', 400 * Math.PI, [30, -70, 70, -30]],
  [
    'ellipse, turned',
    '<ellipse cx="0" cy="0" rx="20" ry="10" transform="translate(50 50) rotate(90)"/>',
    200 * Math.PI,
    [40, -70, 60, -30],
  ],
  ['polygon', '<polygon points="0,0 10,0 10,10"/>', 50, [0, -10, 10, 0]],
  ['path, absolute', '<path d="M10 10H40V30L10,30Z"/>', 600, [10, -30, 40, -10]],
  [
    'path, relative, closed by its last point',
    '<path d="m10 10 30 0 0 20-30 0 0-20"/>',
    600,
    [10, -30, 40, -10],
  ],
  ['path, two half discs, flags run together', `<path d="${ARC_FLAT}"/>`, 400 * Math.PI, [10, -50, 90, -30]],
  [
    'path, quadratic: parabola segment 2/3 b h',
    '<path d="M0 50Q30 10 60 50Z"/>',
    (2 / 3) * 60 * 20,
    [0, -50, 60, -30],
  ],
  [
    'path, smooth quadratic',
    '<path d="M0 50Q15 30 30 50T60 50Z"/>',
    2 * (2 / 3) * 30 * 10,
    [0, -60, 60, -40],
  ],
  [
    'path, even-odd hole',
    '<path fill-rule="evenodd" d="M0 0H30V30H0ZM10 10H20V20H10Z"/>',
    800,
    [0, -30, 30, 0],
  ],
  [
    'path, nonzero: the same way round fills',
    '<path d="M0 0H30V30H0ZM10 10H20V20H10Z"/>',
    900,
    [0, -30, 30, 0],
  ],
  [
    'rule from the group by style',
    '<g style="fill-rule: evenodd"><path d="M0 0H30V30H0ZM10 10H20V20H10Z"/></g>',
    800,
    [0, -30, 30, 0],
  ],
  [
    'two shapes that overlap count once',
    '<rect width="20" height="10"/><rect x="10" width="20" height="10"/>',
    300,
    [0, -10, 30, 0],
  ],
  [
    'nested groups',
    '<g transform="translate(10,5)"><g transform="scale(2 3)"><rect x="1" y="1" width="4" height="5"/></g></g>',
    120,
    [12, -23, 20, -8],
  ],
  [
    'matrix and skews',
    '<rect width="10" height="10" transform="matrix(1 0 0 1 5 5) skewX(45)"/>',
    100,
    [5, -15, 25, -5],
  ],
  ['skewY', '<rect width="10" height="10" transform="skewY(45)"/>', 100, [0, -20, 10, 0]],
  [
    'rotation about a point',
    '<rect x="10" y="10" width="20" height="10" transform="rotate(90 10 10)"/>',
    200,
    [0, -30, 10, -10],
  ],
  ['unit on a length: 96 px to the inch', '<rect width="1in" height="10"/>', 960, [0, -10, 96, 0]],
  [
    'hidden parts, notes and definitions are passed over',
    '<defs><circle r="9"/></defs><n:x xmlns:n="n"/><g display="none"><text>a</text></g><rect width="10" height="10"/>',
    100,
    [0, -10, 10, 0],
  ],
])('%s', (_, body, expectedArea, expectedBounds) => {
  const rings = read(svg(body));
  expect(area(rings) / expectedArea).toBeCloseTo(1, 3);
  expectNear(bounds(rings), expectedBounds, 2);
});

// Cubic from (0, 0) to (1, 0) with handles (0, 1), (1, 1): area 3/5, top 3/4 (integral of y dx over the
// Bernstein form).
test('cubic and smooth cubic', () => {
  const one = read(svg('<path d="M0 50C0 40 10 40 10 50Z"/>'));
  expect(area(one)).toBeCloseTo(60, 1);
  expectNear(bounds(one), [0, -50, 10, -42.5], 2);
  expect(area(read(svg('<path d="M0 50C0 40 10 40 10 50S20 60 20 50Z"/>')))).toBeCloseTo(120, 1);
});

test.each<[string, number]>([
  ['width="200mm" height="100mm" viewBox="0 0 200 100"', 1],
  ['width="20cm" height="10cm" viewBox="0 0 200 100"', 1],
  ['width="100mm" height="50mm" viewBox="-7 3 200 100"', 0.5],
  ['width="8in" height="4in" viewBox="0 0 203.2 101.6"', 1],
  ['width="72pt" height="6pc" viewBox="0 0 25.4 25.4"', 1],
  ['width="96" height="96px"', 25.4 / 96],
])('size %s: %d mm per unit', (head, scale) => {
  expectNear(
    bounds(read(svg('<rect x="10" y="20" width="30" height="40"/>', head))),
    [10, -60, 40, -20].map((v) => v * scale),
  );
});

test.each<[string, string, RegExp]>([
  ['text', '<text id="t">a</text>', /<text id="t">/],
  ['image', '<image/>', /<image>/],
  ['use', '<use/>', /<use>/],
  ['line', '<line/>', /<line>/],
  ['polyline', '<polyline points="0 0 1 0 1 1"/>', /<polyline>/],
  ['nested svg', '<svg/>', /<svg>/],
  ['link', '<a/>', /<a>/],
  ['open path', '<path id="p" d="M0 0H1V1"/>', /<path id="p">.*open/],
  ['second piece open', '<path d="M0 0H1V1ZM3 3H4V5"/>', /open/],
  ['percent', '<rect width="50%" height="3"/>', /<rect>/],
  ['unknown unit', '<circle r="3em"/>', /<circle>/],
  ['malformed path', '<path d="M0 0L1 1,2Z"/>', /<path>/],
  ['path without a move', '<path d="L1 1 2 2Z"/>', /<path>/],
  ['unknown command', '<path d="M0 0R1 1Z"/>', /<path>/],
  ['negative radius', '<circle r="-1"/>', /<circle>/],
  ['odd polygon', '<polygon points="0 0 1"/>', /<polygon>/],
  ['clip', '<rect clip-path="url(#c)" width="1" height="1"/>', /clip-path/],
  ['transform', '<g transform="rotate3d(1)"/>', /rotate3d/],
  ['style transform', '<g style="transform:scale(2)"/>', /style/],
  ['nothing', '<g/>', /no closed outline/],
  ['not XML', '<g>', /not well-formed/],
])('refuses by name: %s', (_, body, message) => {
  expect(() => read(svg(body))).toThrow(PartError);
  expect(() => read(svg(body))).toThrow(message);
});

test.each([
  'width="100%" height="100%" viewBox="0 0 1 1"',
  'viewBox="0 0 200 100"',
  'width="10mm" height="10mm" viewBox="0 0 200 100"',
  'width="10mm" height="10mm" viewBox="0 0 10"',
])('refuses a drawing without a size: %s', (head) => {
  expect(() => read(svg('<rect width="1" height="1"/>', head))).toThrow(PartError);
});

test('not an SVG at all', () => expect(() => read('<html></html>')).toThrow(/<svg> expected/));

const STAR = Array.from({ length: 11 }, (_, i) => {
  const r = i % 2 ? 31.4159 : 12.3456;
  return [57.1 + r * Math.cos((i * 2 * Math.PI) / 11), -3.3 + r * Math.sin((i * 2 * Math.PI) / 11)];
}).flat();
const HOLE = [55, -5, 57, -1, 60, -5];

test('round trip: an outline written and read back is the same region; other groups are left out by id', () => {
  const rings = [Float64Array.from(STAR), Float64Array.from(HOLE)];
  const text = outlinesSvg({
    title: 't',
    description: 'd',
    boundsMm: { min: [20, -40], max: [90, 40] },
    groups: [
      { id: 'class-steep', title: 's', look: 'steep', shapes: [{ id: 'region-1', title: 'r', rings }] },
      {
        id: 'class-level',
        title: 'l',
        look: 'level',
        shapes: [{ id: 'region-2', title: 'r', rings: [Float64Array.from([0, 0, 9, 0, 9, 9])] }],
      },
    ],
  });
  const back = read(text, 'class-steep');
  expect(back).toHaveLength(2);
  // Coordinates are written with four decimals.
  expect(farthest(polygons(back), polygons(rings))).toBeLessThan(1.1e-4);
  expect(farthest(polygons(rings), polygons(back))).toBeLessThan(1.1e-4);
  expect(area(back) / area(rings)).toBeCloseTo(1, 5);
  expect(area(read(text))).toBeCloseTo(area(rings) + 40.5, 2);
  expect(() => read(text, 'clas-steep')).toThrow(/did you mean "class-steep"/);
});

test('many points inside rings: agrees with the crossing count and with the area (seed 5)', () => {
  const rings = [Float64Array.from(STAR), Float64Array.from(HOLE)];
  let seed = 5;
  const random = () => {
    seed = (seed * 48271) % 2147483647;
    return seed / 2147483647;
  };
  const points = Float64Array.from({ length: 40000 }, (_, i) =>
    i % 2 ? -40 + 80 * random() : 20 + 75 * random(),
  );
  const isInside = insideRings(rings);
  let inside = 0;
  for (let p = 0; p < points.length; p += 2) {
    const answer = isInside(points[p], points[p + 1]);
    if (pointInRings(points[p], points[p + 1], rings) !== answer) expect.fail(`point ${p / 2}`);
    if (answer) inside++;
  }
  const share = (2 * inside) / points.length;
  // Binomial: three standard deviations of 20 000 points.
  expect(Math.abs(share - Math.abs(area(rings)) / 6000)).toBeLessThan(3 * Math.sqrt((0.25 * 0.75) / 20000));
  expect([isInside(NaN, 0), isInside(0, NaN), insideRings([])(1, 1)]).toEqual([false, false, false]);
});

const nested = (depth: number) => `${'<g>'.repeat(depth)}<rect width="1" height="1"/>${'</g>'.repeat(depth)}`;
const entities = (list: string) =>
  `<!DOCTYPE svg [${list}]><svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><title>&a;</title></svg>`;

test.each<[string, string, RegExp]>([
  ['a circle of 1e9', svg('<circle r="1e9"/>'), /<circle>: it reaches farther than 1000000 mm/],
  ['a circle of 1e30', svg('<circle r="1e30"/>'), /<circle>: it reaches/],
  ['a circle of 1e300', svg('<circle r="1e300"/>'), /<circle>: it reaches/],
  ['a curve far out', svg('<path d="M0 0C1e30 0 1e30 1e30 0 1e30Z"/>'), /<path>: it reaches/],
  [
    'a scale of scales',
    svg('<g transform="scale(1e200)"><circle transform="scale(1e200)" r="1"/></g>'),
    /<circle>: it reaches/,
  ],
  [
    'a size past all numbers',
    svg('<rect width="1" height="1"/>', 'width="1e308mm" height="1e308mm" viewBox="0 0 1 1"'),
    /<rect>: it reaches/,
  ],
  ['more points than can be united', svg('<circle r="9e5"/>'.repeat(5)), /more than 200000 points/],
  ['groups without end', svg(nested(20_000)), /cannot be read \(.*nested/],
  [
    'an entity from outside',
    entities('<!ENTITY a SYSTEM "file:///etc/passwd">'),
    /cannot be read \(.*[Ee]xternal/,
  ],
  ['an instruction that does not end', '<?xml version="1.0" <svg/>', /XML/],
  ['a name that is a key of every object', svg('<__proto__/>'), /cannot be read/],
])('%s: one line, within seconds', (_, text, message) => {
  const started = process.cpuUsage().user;
  const thrown = [text].map((one) => {
    try {
      return read(one);
    } catch (error) {
      return error;
    }
  })[0];
  expect(thrown).toBeInstanceOf(PartError);
  expect((thrown as PartError).message).toMatch(message);
  expect(process.cpuUsage().user - started).toBeLessThan(3e6);
});

// A chord of length c on a circle of radius r stands off by r - √(r² - c²/4) (Euclid III.3 with I.47).
test.each([1, 1000, 1e5])(
  'sides of a circle of %d mm keep within the tolerance and are no more than it takes',
  (r) => {
    const [ring] = read(svg(`<circle r="${r}"/>`));
    const chord = Math.hypot(ring[2] - ring[0], ring[3] - ring[1]);
    const sagitta = chord ** 2 / (4 * (r + Math.sqrt(r * r - chord ** 2 / 4)));
    expect(sagitta).toBeLessThan(0.00203);
    // A half at most too little: the reader takes the drawing's stretch √2 too large.
    expect(sagitta).toBeGreaterThan(0.002 / 2);
  },
);

// United one after the other they took 73 s.
test('3000 rectangles that overlap in a chain are one outline', () => {
  const many = Array.from({ length: 3000 }, (_, i) => `<rect x="${i}" y="${i % 2}" width="1.5" height="3"/>`);
  const rings = read(svg(many.join('')));
  expect(rings).toHaveLength(1);
  // Each column is 3 high and 0.5 wide alone in its half, 4 high where two overlap.
  expect(area(rings)).toBeCloseTo(3000 * 4.5 - 2999 * 0.5 * 2, 3);
});
