import { WebIO, Document } from '@gltf-transform/core';
import { beforeAll, expect, test } from 'vitest';
import { PartError } from '../../src/core/errors.js';
import { loadClipper, type Clipper } from '../../src/outlines/clipper.js';
import { prepareMesh } from '../../src/part/prepare.js';
import { readPart } from '../../src/read/read-part.js';
import { readSvgOutlines } from '../../src/read/read-svg.js';
import { seededRandom } from '../reach/random.js';
import * as shapes from '../support/shapes.js';
import { asciiStl, binaryStl } from '../support/stl.js';

/** Mutants of each file; by hand with FUZZ=20000 FUZZ_SEED=9 in the environment. */
const RUNS = Number(process.env.FUZZ ?? 150),
  SEED = Number(process.env.FUZZ_SEED ?? 7);
const SHORT = ['0', '-1', '1e30', '1e308', '99999999', 'null', '{}', '[]', '"x"', '<g>', '&a;', 'NaN', ','];

const cube = shapes.box(0.04, 0.03, 0.02);
const encode = (text: string): Uint8Array => new TextEncoder().encode(text);
const SVG =
  '<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">' +
  '<g id="a" transform="rotate(3) scale(2)"><circle cx="9" cy="9" r="5"/><path d="M1 1C3 1 4 2 4 4A3 2 5 1 0 1 9Z"/></g>' +
  '<rect x="1" y="2" width="3" height="4" rx="1"/><polygon points="0,0 5,5 0,9"/></svg>';
const seeds = new Map<string, Uint8Array>();
let clipper: Clipper;

beforeAll(async () => {
  clipper = await loadClipper();
  const document = new Document();
  const buffer = document.createBuffer();
  const position = document
    .createAccessor()
    .setType('VEC3')
    .setArray(Float32Array.from(cube))
    .setBuffer(buffer);
  const primitive = document.createPrimitive().setAttribute('POSITION', position);
  const node = document.createNode().setMesh(document.createMesh().addPrimitive(primitive));
  document.createScene().addChild(node);
  const glb = await new WebIO().writeBinary(document);
  const { json, resources } = await new WebIO().writeJSON(document);
  const bytes = Object.values(resources)[0];
  const uri = `data:application/octet-stream;base64,${Buffer.from(bytes).toString('base64')}`;
  const gltf = { ...json, buffers: [{ byteLength: bytes.length, uri }] };
  seeds
    .set('GLB', glb)
    .set('glTF', encode(JSON.stringify(gltf)))
    .set('SVG', encode(SVG));
  seeds.set('binary STL', binaryStl(cube)).set('ASCII STL', asciiStl(cube));
});

/** A few bytes changed, a stretch left out, doubled or overwritten by what readers stumble over. */
function mutant(seed: Uint8Array, next: () => number): Uint8Array {
  let bytes = [...seed];
  for (let n = 1 + Math.floor(4 * next()); n > 0; n--) {
    const at = Math.floor(next() * bytes.length),
      length = Math.floor(next() ** 3 * 60);
    const kind = Math.floor(5 * next());
    if (kind === 0) bytes[at] = Math.floor(256 * next());
    else if (kind === 1) bytes.splice(at, length);
    else if (kind === 2) bytes.splice(at, 0, ...bytes.slice(at, at + length));
    else if (kind === 3) bytes.splice(at, length % 4, ...encode(SHORT[Math.floor(SHORT.length * next())]));
    else if (next() < 0.2) bytes = bytes.slice(0, at);
  }
  return Uint8Array.from(bytes);
}

async function tryToRead(format: string, bytes: Uint8Array): Promise<readonly ArrayLike<number>[]> {
  if (format === 'SVG') return readSvgOutlines(new TextDecoder().decode(bytes), clipper);
  const { mesh, health } = prepareMesh(await readPart(bytes, { name: 'a' }), {
    axis: [0, 0, 1],
    stand: true,
  });
  return [mesh.positions, [health.areaMm2, health.volumeMm3 ?? 0]];
}

test.each(['GLB', 'glTF', 'SVG', 'binary STL', 'ASCII STL'])(
  `mutants of %s (seed ${SEED}): read as finite numbers, or refused in one line`,
  async (format) => {
    const next = seededRandom(SEED);
    const seed = seeds.get(format) ?? new Uint8Array();
    let refused = 0;
    for (let i = 0; i < RUNS; i++) {
      const bytes = mutant(seed, next);
      try {
        for (const list of await tryToRead(format, bytes)) {
          if (!Array.from(list).every(Number.isFinite)) expect.fail(`mutant ${i}: not finite`);
        }
      } catch (error) {
        if (!(error instanceof PartError)) expect.fail(`mutant ${i}: ${String(error)}`);
        refused++;
      }
    }
    expect(refused).toBeGreaterThan(0);
    expect(refused).toBeLessThan(RUNS);
  },
);
