import fc from 'fast-check';
import { expect, test } from 'vitest';
import { PartError } from '../../src/core/errors.js';
import { readPart } from '../../src/read/read-part.js';
import {
  meshXml,
  modelXml,
  objFile,
  plyBinaryFile,
  plyTextFile,
  threeMfFile,
  threeMfPackage,
} from '../support/formats.js';
import { dracoGlb, glbFile, glbOf, gltfOf, meshoptGlb } from '../support/gltf-files.js';
import * as shapes from '../support/shapes.js';
import { asciiStl, binaryStl } from '../support/stl.js';

// FUZZ_RUNS=5000 FUZZ_SEED=7 looks further than a test has time to.
const RUNS = Number(process.env.FUZZ_RUNS ?? 60),
  SEED = Number(process.env.FUZZ_SEED ?? 1);
/** The slowest of small files takes a few milliseconds; a machine under load many times as many. */
const MOST_MS = 5000;

const part = shapes.rounded(shapes.turned(shapes.box(10, 20, 30), 20));
const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const textOf = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
const model = modelXml(
  `<object id="1">${meshXml(part)}</object><object id="2"><components>` +
    '<component objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/></components></object>',
  '<item objectid="2"/><item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>',
);
const plain = gltfOf(part),
  meshopt = await meshoptGlb(part),
  draco = await dracoGlb(part, 12);

/** What is damaged, and how a file is made of it: some of it lies under checksums and packing. */
const KINDS: readonly (readonly [string, Uint8Array, (damaged: Uint8Array) => Uint8Array])[] = [
  ['binary STL', binaryStl(part), (bytes) => bytes],
  ['ASCII STL', asciiStl(part), (bytes) => bytes],
  ['OBJ', objFile(part), (bytes) => bytes],
  ['ASCII PLY', plyTextFile(part), (bytes) => bytes],
  ['binary PLY', plyBinaryFile(part, true), (bytes) => bytes],
  ['binary PLY, big-endian', plyBinaryFile(part, false), (bytes) => bytes],
  ['3MF, its archive', threeMfFile(part), (bytes) => bytes],
  [
    '3MF, its model',
    bytesOf(model),
    (bytes) => threeMfPackage({ '3D/m.model': textOf(bytes) }, { level: 1 }),
  ],
  ['GLB', glbFile(part), (bytes) => bytes],
  ['GLB, its numbers', plain.buffer, (bytes) => glbOf(plain.json, bytes)],
  ['meshopt, its JSON', bytesOf(JSON.stringify(meshopt.json)), (bytes) => glbOfText(bytes, meshopt.binary)],
  ['meshopt, its bytes', meshopt.binary, (bytes) => glbOf(meshopt.json, bytes)],
  ['Draco, its JSON', bytesOf(JSON.stringify(draco.json)), (bytes) => glbOfText(bytes, draco.binary)],
  ['Draco, its bytes', draco.binary, (bytes) => glbOf(draco.json, bytes)],
];

/** A GLB of JSON that may not be any: as an array of bytes it goes through the writer unchanged. */
function glbOfText(json: Uint8Array, binary: Uint8Array): Uint8Array {
  const glb = glbOf('', binary);
  const padded = new Uint8Array(Math.ceil(json.length / 4) * 4).fill(32);
  padded.set(json);
  const bytes = new Uint8Array(glb.length - 4 + padded.length);
  bytes.set(glb.subarray(0, 20));
  bytes.set(padded, 20);
  bytes.set(glb.subarray(24), 20 + padded.length);
  const view = new DataView(bytes.buffer);
  view.setUint32(8, bytes.length, true);
  view.setUint32(12, padded.length, true);
  return bytes;
}

interface Edit {
  readonly kind: 'set' | 'flip' | 'cut' | 'repeat' | 'digits' | 'end';
  /** where, as a share of the file */
  readonly at: number;
  readonly length: number;
  readonly byte: number;
}
const edits = fc.array(
  fc.record({
    kind: fc.constantFrom<Edit['kind'][]>('set', 'flip', 'cut', 'repeat', 'digits', 'end'),
    at: fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true }),
    length: fc.integer({ min: 1, max: 24 }),
    byte: fc.integer({ min: 0, max: 255 }),
  }),
  { minLength: 1, maxLength: 4 },
);

/** Numbers that sizes and counts are damaged to. */
const DIGITS = ['-1', '0', '1e999', '4294967295', '99999999999999999999', 'null', '[]', '{}', '"x"'].map(
  bytesOf,
);

function edited(bytes: Uint8Array, { kind, at, length, byte }: Edit): Uint8Array {
  const from = Math.floor(at * bytes.length),
    to = Math.min(bytes.length, from + length);
  const [head, middle, tail] = [bytes.slice(0, from), bytes.slice(from, to), bytes.slice(to)];
  const joined = (...pieces: Uint8Array[]): Uint8Array => Uint8Array.from(pieces.flatMap((one) => [...one]));
  switch (kind) {
    case 'set':
      return joined(head, middle.fill(byte), tail);
    case 'flip':
      return joined(
        head,
        middle.map((one, i) => (i === 0 ? one ^ (1 << (byte & 7)) : one)),
        tail,
      );
    case 'cut':
      return joined(head, tail);
    case 'repeat':
      return joined(head, middle, middle, tail);
    case 'digits':
      return withNumber(bytes, from, DIGITS[byte % DIGITS.length]);
    case 'end':
      return head;
  }
}

/** The bytes with the first number from a place on replaced. */
function withNumber(bytes: Uint8Array, from: number, number: Uint8Array): Uint8Array {
  const isDigit = (byte: number): boolean => byte >= 48 && byte <= 57;
  let start = from;
  while (start < bytes.length && !isDigit(bytes[start])) start++;
  let end = start;
  while (end < bytes.length && isDigit(bytes[end])) end++;
  return Uint8Array.from([...bytes.slice(0, start), ...number, ...bytes.slice(end)]);
}

test.each(KINDS)(`damaged %s is read or refused in one line (seed ${SEED})`, async (_, whole, file) => {
  expect((await readPart(file(whole), { name: 'part' })).source.triangles).toBeGreaterThan(0);
  await fc.assert(
    fc.asyncProperty(edits, async (list) => {
      const bytes = file(list.reduce(edited, whole));
      const from = performance.now();
      try {
        const { corners } = await readPart(bytes, { name: 'part', unit: 'auto' });
        if (!corners.every(Number.isFinite)) throw new Error('a coordinate that is no number');
      } catch (error) {
        if (!(error instanceof PartError)) throw error;
        const { where, what, remedy } = error.info;
        if ([where, what, remedy].some((text) => text === '' || text.length > 1000))
          throw new Error('no line');
      }
      if (performance.now() - from > MOST_MS) throw new Error('it took too long');
    }),
    { numRuns: RUNS, seed: SEED },
  );
});
