import { expect, test } from 'vitest';
import { readPart } from '../../src/read/read-part.js';
import { threeMfFile } from '../support/formats.js';
import { glbFile } from '../support/gltf-files.js';
import * as shapes from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

const guessed = (longest: number) =>
  readPart(binaryStl(shapes.box(longest, longest / 2, longest / 4)), { name: 'part.stl', unit: 'auto' });

// ISO 31-1: 1 in = 25.4 mm. Parts that are milled are 10 to 2500 mm long.
test.each([
  [126, 'mm', ['126 mm', 'centimetres (1260 mm)']],
  [12, 'mm', ['12 mm', 'inches (304.8 mm)', 'centimetres (120 mm)']],
  [5, 'in', ['127 mm', 'centimetres (50 mm)']],
  [2, 'in', ['50.8 mm', 'metres (2000 mm)', 'centimetres (20 mm)']],
  [0.2286, 'm', ['228.6 mm', 'in no other unit']],
  [0.02, 'm', ['20 mm']],
  [2400, 'mm', ['2400 mm', 'in no other unit']],
  [1e-4, 'mm', ['in none of them']],
  [1e6, 'mm', ['in none of them']],
] as const)('a longest side of %d is taken for %s', async (longest, unit, words) => {
  const { source, findings } = await guessed(longest);
  expect(source).toMatchObject({ unit, unitFrom: 'guess' });
  expect(findings).toMatchObject([{ code: 'unit.guessed', severity: 'warning' }]);
  for (const word of words) expect(findings[0].message).toContain(word);
  expect(findings[0].message).toContain('--unit');
});

test('a guess scales the part', async () => {
  const { corners } = await guessed(5);
  expect(corners).toEqual(shapes.rounded(shapes.box(5, 2.5, 1.25)).map((x) => x * 25.4));
});

test('what the file states is not guessed at', async () => {
  const box = shapes.box(5, 5, 5);
  const threeMf = await readPart(threeMfFile(box, 'unit="micron"'), { name: 'part', unit: 'auto' });
  expect(threeMf.source).toMatchObject({ unit: 'um', unitFrom: 'file' });
  const glb = await readPart(glbFile(box), { name: 'part', unit: 'auto' });
  expect(glb.source).toMatchObject({ unit: 'm', unitFrom: 'format' });
  expect([threeMf.findings, glb.findings]).toEqual([[], []]);
});
