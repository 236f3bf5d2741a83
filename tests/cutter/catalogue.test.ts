import { expect, test } from 'vitest';
import { cutterShape, resolveCatalogue, type CatalogueFile } from '../../src/cutter/catalogue.js';
import { DEFAULT_CATALOGUE } from '../../src/cutter/default-catalogue.js';
import { PartError } from '../../src/core/errors.js';

type Entry = CatalogueFile['cutters'][number];
const BALL: Entry = { id: 'b', DC: 6, RE: 3, APMX: 8, LU: 20, NOF: 2 };
const resolve = (...cutters: Entry[]) => resolveCatalogue({ version: 1, cutters }, 'c.json');

// Shapes by corner radius: ISO 13399 RE (LITERATURE: confirmed text "nominal radius of a rounded corner").
test.each([
  [{}, 'ball'],
  [{ RE: 0 }, 'flat'],
  [{ RE: 0.5 }, 'bull-nose'],
  [{ taperHalfAngleDeg: 3 }, 'tapered-ball'],
  [{ RE: 2.9996 }, 'ball'],
  [{ RE: 2.99 }, 'bull-nose'],
] as const)('%j is a %s', (change, shape) => {
  const [cutter] = resolve({ ...BALL, ...change });
  expect(cutterShape(cutter)).toBe(shape);
  if (shape === 'ball') expect(cutter.RE).toBe(cutter.DC / 2);
});

test('fills in what is left out: neck and shank as DC, no taper, no holder', () => {
  expect(resolve(BALL)[0]).toEqual({
    ...BALL,
    DN: 6,
    DMM: 6,
    taperHalfAngleDeg: 0,
    holder: [],
    wearCostPerMinute: null,
    stages: [],
    placeholder: false,
  });
  const [held] = resolve({ ...BALL, holder: [{ diameterMm: 20, lengthMm: 30 }] });
  expect(held.holder).toEqual([{ diameterMm: 20, lengthMm: 30, topDiameterMm: 20 }]);
});

test.each([
  [{ RE: 3.5 }, 'RE 3.5 is more than half of DC 6'],
  [{ LU: 7 }, 'LU 7 is less than APMX 8'],
  [{ DN: 6.5 }, 'DN 6.5 is more than DC 6'],
  [{ taperHalfAngleDeg: 3, RE: 1 }, 'tapered'],
])('refuses %j and names the cutter', (change, what) => {
  expect(() => resolve({ ...BALL, ...change })).toThrow(PartError);
  expect(() => resolve({ ...BALL, ...change })).toThrow('c.json: cutter "b": ');
  expect(() => resolve({ ...BALL, ...change })).toThrow(what);
});

test.each([
  [{ DC: 1e-300, RE: 5e-301 }, 'DC: 1e-300 found, at least 0.001 expected'],
  [{ wearCostPerMinute: 1e308 }, 'at most 1000000000 expected'],
  [{ id: 'b\u001b[31m' }, '"b\\u001b[31m" found, a text without control characters expected'],
  [{ id: 'b\u202e6' }, 'a text without control characters expected'],
])('refuses %j, past all bounds', (change, what) => {
  expect(() => resolve({ ...BALL, ...change })).toThrow(what);
});

test('a tapered neck may be thicker than its ball', () => {
  expect(resolve({ ...BALL, taperHalfAngleDeg: 5, DN: 8 })[0].DN).toBe(8);
});

test('refuses an id used twice, an empty catalogue and a missing length', () => {
  expect(() => resolve(BALL, BALL)).toThrow('used twice');
  expect(() => resolve()).toThrow('a list of 0 found, at least 1 entry expected');
  expect(() => resolveCatalogue({ cutters: [] }, 'c.json')).toThrow(
    'c.json: version: nothing found, 1 expected',
  );
  expect(() => resolveCatalogue({ version: 1, cutters: [{ id: 'x' }] }, 'c.json')).toThrow(
    'c.json: cutters.0.DC: nothing',
  );
});

test('the default catalogue passes its own checks and is all placeholders', () => {
  const cutters = DEFAULT_CATALOGUE.map(({ wearCostPerMinute: _none, ...entry }) => entry);
  expect(resolveCatalogue({ version: 1, cutters }, 'default')).toEqual(DEFAULT_CATALOGUE);
  expect(DEFAULT_CATALOGUE.every((cutter) => cutter.placeholder)).toBe(true);
  expect(DEFAULT_CATALOGUE.map(cutterShape)).toEqual([...Array(12).fill('ball'), ...Array(4).fill('flat')]);
});

// DIN 6535 (1992) shank diameters d1, mm, from 2 to 20, as given in the standard's table.
test('default diameters from 2 mm up are shank diameters of DIN 6535', () => {
  const shanks = [2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20];
  for (const { DC, DMM } of DEFAULT_CATALOGUE) {
    if (DC >= 2) expect(shanks).toContain(DC);
    expect(shanks).toContain(DMM);
  }
});
