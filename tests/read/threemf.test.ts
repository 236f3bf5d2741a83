import { strToU8, zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import { readPart, type ReadOptions } from '../../src/read/read-part.js';
import { meshXml, modelXml, threeMfFile, threeMfPackage } from '../support/formats.js';
import * as shapes from '../support/shapes.js';
import { refusalOf } from '../support/refusal.js';

const read = (bytes: Uint8Array, options: Partial<ReadOptions> = {}) =>
  readPart(bytes, { name: 'part.3mf', ...options });
const refusal = (bytes: Uint8Array) => refusalOf(read(bytes));

const ROOT = '3D/3dmodel.model';
const box = shapes.box(10, 20, 30);
const object = (id: number, corners: Float64Array, more = 'type="model"'): string =>
  `<object id="${id}" ${more}>${meshXml(corners)}</object>`;
const assembly = (id: number, components: string): string =>
  `<object id="${id}"><components>${components}</components></object>`;
const package_ = (resources: string, build: string, attributes = ''): Uint8Array =>
  threeMfPackage({ [ROOT]: modelXml(resources, build, attributes) });
/** Volume and centre of gravity, of parts whose boxes do not overlap. */
const boxes = (corners: Float64Array): number[][] =>
  Array.from({ length: corners.length / 108 }, (_, b) =>
    [0, 1, 2].flatMap((i) => {
      const values = corners.slice(108 * b, 108 * b + 108).filter((__, k) => k % 3 === i);
      return [Math.min(...values), Math.max(...values)];
    }),
  );

// 3MF core specification 1.4, 3.4: words for the unit, millimeter where none stands.
test.each([
  ['micron', 'um', 0.001],
  ['millimeter', 'mm', 1],
  ['centimeter', 'cm', 10],
  ['inch', 'in', 25.4],
  ['foot', 'ft', 304.8],
  ['meter', 'm', 1000],
] as const)('unit %s', async (word, unit, factor) => {
  const { corners, source } = await read(threeMfFile(box, `unit="${word}"`));
  expect(source).toMatchObject({ format: '3mf', unit, unitFrom: 'file', triangles: 12 });
  expect(corners).toEqual(box.map((x) => x * factor));
});

test('no unit is millimetres, as the format says', async () => {
  expect((await read(threeMfFile(box, ''))).source).toMatchObject({ unit: 'mm', unitFrom: 'format' });
});

test('another unit can be asked for, which is a finding', async () => {
  const { source, findings } = await read(threeMfFile(box), { unit: 'in' });
  expect(source).toMatchObject({ unit: 'in', unitFrom: 'option' });
  expect(findings).toMatchObject([{ code: 'unit.overridden', severity: 'warning' }]);
  expect((await read(threeMfFile(box), { unit: 'mm' })).findings).toEqual([]);
});

describe('placing', () => {
  // 3MF core specification 1.4, 3.3: (x y z 1) times a 4 x 3 matrix, row by row.
  test('items of the build, with transforms', async () => {
    const items = '<item objectid="7" transform="0 2 0 -1 0 0 0 0 3 100 200 300"/><item objectid="7"/>';
    const { corners, findings } = await read(package_(object(7, box), items));
    // x, y, z to -y + 100, 2 x + 200, 3 z + 300.
    const [[x0, x1], [y0, y1], [z0, z1]] = [
      [0, 1],
      [2, 3],
      [4, 5],
    ].map((k) => k.map((i) => boxes(box)[0][i]));
    expect(boxes(corners)).toEqual([
      [100 - y1, 100 - y0, 200 + 2 * x0, 200 + 2 * x1, 300 + 3 * z0, 300 + 3 * z1],
      boxes(box)[0],
    ]);
    expect(shapes.measureSoup(corners).volume).toBeCloseTo(6000 * 7, 6);
    expect(findings).toMatchObject([{ code: 'read.several-solids', count: 2 }]);
  });

  test.each([
    ['one axis', '-1 0 0 0 1 0 0 0 1 0 0 0'],
    ['three axes', '-1 0 0 0 -1 0 0 0 -1 0 0 0'],
  ])('mirrored in %s an object keeps its outside', async (_, transform) => {
    const { corners } = await read(package_(object(7, box), `<item objectid="7" transform="${transform}"/>`));
    expect(shapes.measureSoup(corners).volume).toBeCloseTo(6000, 9);
  });

  test('components in components: inner first, then outer', async () => {
    const resources =
      object(1, box) +
      assembly(2, '<component objectid="1" transform="1 0 0 0 1 0 0 0 1 50 0 0"/><component objectid="1"/>') +
      assembly(3, '<component objectid="2" transform="2 0 0 0 2 0 0 0 2 0 0 7"/>');
    const { corners } = await read(package_(resources, '<item objectid="3"/>'));
    const [x0, x1, y0, y1, z0, z1] = boxes(box)[0].map((x) => 2 * x);
    expect(boxes(corners)).toEqual([
      [x0 + 100, x1 + 100, y0, y1, z0 + 7, z1 + 7],
      [x0, x1, y0, y1, z0 + 7, z1 + 7],
    ]);
  });

  test('objects in other parts of the package (production extension)', async () => {
    const other = '3D/Objects/Object_1.model';
    const bytes = threeMfPackage({
      [ROOT]: modelXml(
        assembly(2, `<component objectid="1" p:path="/${other}" transform="1 0 0 0 1 0 0 0 1 0 0 5"/>`),
        `<item objectid="2"/><item objectid="1" p:path="/${other.toUpperCase()}"/>`,
        'requiredextensions="p" unit="inch"',
      ),
      [other]: modelXml(object(1, box), '', 'unit="inch"'),
    });
    const { corners, source } = await read(bytes);
    expect(source).toMatchObject({ unit: 'in', triangles: 24 });
    expect(corners[2] - corners[110]).toBeCloseTo(5 * 25.4, 9);
  });

  test('objects that are not placed are not there, and supports are left out', async () => {
    const resources = object(1, box) + object(2, box) + object(3, box, 'type="solidsupport"');
    const { source, findings } = await read(package_(resources, '<item objectid="2"/><item objectid="3"/>'));
    expect(source.triangles).toBe(12);
    expect(findings).toMatchObject([{ code: 'read.supports', count: 1 }, { code: 'read.several-solids' }]);
  });

  test('elements of other namespaces are passed over, whatever their names', async () => {
    const other = '<x:object xmlns:x="http://example.com/x" id="1"><x:vertex x="no"/></x:object>';
    expect((await read(package_(object(1, box) + other, '<item objectid="1"/>'))).corners).toEqual(box);
  });
});

const zip = (files: Readonly<Record<string, string>>): Uint8Array =>
  zipSync(Object.fromEntries(Object.entries(files).map(([name, text]) => [name, strToU8(text)])));
const whole = threeMfFile(box);
const xml = modelXml(object(1, box), '<item objectid="1"/>');
const changed = (from: string | RegExp, to: string): Uint8Array =>
  threeMfPackage({ [ROOT]: xml.replace(from, to) });

describe('refused', () => {
  test.each<[string, () => Uint8Array, string, RegExp]>([
    [
      'a ZIP of something else',
      () => zip({ 'readme.txt': 'hello' }),
      'read.unknown-format',
      /without a 3MF model/,
    ],
    ['without its model', () => threeMfPackage({ [ROOT]: '' }).slice(), 'read.damaged', /./],
    ['cut short', () => whole.subarray(0, whole.length - 30), 'read.truncated', /list of files/],
    ['an empty build', () => package_(object(1, box), ''), 'read.no-triangles', /build is empty/],
    [
      'an object that is not there',
      () => package_(object(1, box), '<item objectid="9"/>'),
      'read.damaged',
      /"9"/,
    ],
    ['a vertex that is not there', () => changed('v1="0"', 'v1="8"'), 'read.damaged', /vertex 8/],
    ['half a vertex', () => changed('v1="0"', 'v1="0.5"'), 'read.damaged', /vertex 0.5/],
    ['a coordinate missing', () => changed(/ z="[^"]*"/, ''), 'read.non-finite', /z ""/],
    ['a decimal comma', () => changed(/ z="[^"]*"/, ' z="1,5"'), 'read.non-finite', /1,5/],
    ['a coordinate that is no number', () => changed(/ z="[^"]*"/, ' z="NaN"'), 'read.non-finite', /NaN/],
    ['an unknown unit', () => threeMfFile(box, 'unit="furlong"'), 'read.damaged', /furlong/],
    [
      'eleven numbers',
      () => changed('<item ', '<item transform="1 0 0 0 1 0 0 0 1 0 0" '),
      'read.damaged',
      /12 numbers/,
    ],
    ['XML that is none', () => changed('</vertices>', '</vertex>'), 'read.damaged', /XML/],
    [
      'another document',
      () => threeMfPackage({ [ROOT]: '<svg xmlns="http://www.w3.org/2000/svg"/>' }),
      'read.damaged',
      /no model/,
    ],
    [
      'an extension it needs',
      () =>
        threeMfFile(
          box,
          'xmlns:b="http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02" requiredextensions="b"',
        ),
      'read.unsupported-extension',
      /beamlattice/,
    ],
    [
      'units that differ',
      () =>
        threeMfPackage({
          [ROOT]: modelXml('', '<item objectid="1" p:path="/b.model"/>', 'unit="inch"'),
          'b.model': modelXml(object(1, box), '', 'unit="meter"'),
        }),
      'read.damaged',
      /is in m/,
    ],
  ])('%s', async (_, make, code, what) => {
    const info = await refusal(make());
    expect(info.code).toBe(code);
    expect(`${info.where} ${info.what}`).toMatch(what);
    expect(info.remedy).not.toBe('');
  });

  test('a digit changed in a packed file', async () => {
    const bytes = threeMfPackage({ [ROOT]: xml }, { level: 0 });
    const at = new TextDecoder('latin1').decode(bytes).indexOf('<vertex x="') + '<vertex x="'.length;
    expect(bytes[at]).toBe('0'.charCodeAt(0));
    bytes[at] = '1'.charCodeAt(0);
    expect(await refusal(bytes)).toMatchObject({ code: 'read.damaged', what: 'its checksum is wrong' });
  });
});

describe('made to harm', () => {
  test('a document type and entities of its own', async () => {
    const entity = '<!DOCTYPE model [<!ENTITY a SYSTEM "file:///etc/passwd">]>';
    const bytes = changed('<model ', `${entity}<model `);
    expect(await refusal(bytes)).toMatchObject({ code: 'read.damaged' });
    expect((await refusal(changed('made by a test', '&a;'))).what).toContain('entity');
  });

  test('a file that would fill the machine', async () => {
    const blank = ' '.repeat(2 ** 26);
    const bytes = changed('<metadata', `${blank}<metadata`);
    expect(bytes.length).toBeLessThan(200_000);
    expect((await refusal(bytes)).code).toBe('read.too-large');
  });

  test('a file longer than it says', async () => {
    const bytes = whole.slice();
    const view = new DataView(bytes.buffer);
    const at = bytes.findIndex(
      (_, i) => i > 10 && i + 46 < bytes.length && view.getUint32(i, true) === 0x02014b50,
    );
    view.setUint32(at + 24, 10, true);
    expect((await refusal(bytes)).what).toContain('longer than it says');
  });

  test('objects placed in themselves', async () => {
    const loop = assembly(1, '<component objectid="1"/>');
    expect((await refusal(package_(loop, '<item objectid="1"/>'))).code).toBe('read.damaged');
  });

  test('an object placed ten times in one placed ten times, and so on', async () => {
    const ten = (id: number): string => assembly(id, `<component objectid="${id - 1}"/>`.repeat(10));
    const levels = Array.from({ length: 12 }, (_, i) => ten(i + 2)).join('');
    const bytes = package_(object(1, box) + levels, '<item objectid="13"/>');
    expect((await refusal(bytes)).code).toBe('read.damaged');
  });

  test('a relation that leads out of the package', async () => {
    const relations =
      '<Relationships><Relationship TargetMode="External" Target="http://example.com/a.model" ' +
      'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>';
    expect((await refusal(zip({ '_rels/.rels': relations, [ROOT]: xml }))).code).toBe('read.unknown-format');
  });
});
