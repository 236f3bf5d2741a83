import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import type { FileChunks } from '../../src/core/file-chunks.js';
import { readPart, type ReadOptions } from '../../src/read/read-part.js';
import { readAsciiStl } from '../../src/read/stl-ascii.js';
import * as shapes from '../support/shapes.js';
import { asciiStl, binaryStl } from '../support/stl.js';
import { refusalOf } from '../support/refusal.js';

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const read = (bytes: Uint8Array, options: Partial<ReadOptions> = {}) =>
  readPart(bytes, { name: 'part.stl', ...options });
const joined = (...parts: Uint8Array[]): Uint8Array => Uint8Array.from(parts.flatMap((part) => [...part]));

const refusal = (bytes: Uint8Array, options: Partial<ReadOptions> = {}) => refusalOf(read(bytes, options));

const noise = (seed: number, length: number): Uint8Array => {
  const random = shapes.randomNumbers(seed);
  return Uint8Array.from({ length }, () => 256 * random());
};

const cube = shapes.rounded(shapes.turned(shapes.box(10, 20, 30), 20));

describe('binary STL', () => {
  test.each(['binary STL, mm', 'solid by name only', 'solid facet endsolid'])(
    'with header "%s"',
    async (header) => {
      const { corners, source, findings } = await read(binaryStl(cube, header));
      expect(corners).toEqual(cube);
      expect(source).toMatchObject({
        name: 'part.stl',
        format: 'stl-binary',
        triangles: 12,
        bytes: 684,
        unit: 'mm',
        unitFrom: 'default',
      });
      expect(findings).toEqual([]);
    },
  );

  test('from the middle of a larger buffer', async () => {
    const bytes = binaryStl(cube);
    expect((await read(joined(new Uint8Array(7), bytes).subarray(7))).corners).toEqual(cube);
  });

  // The inch is 25.4 mm by definition (ISO 31-1).
  test.each([
    ['mm', 1],
    ['cm', 10],
    ['m', 1000],
    ['in', 25.4],
  ] as const)('in %s', async (unit, factor) => {
    const { corners, source } = await read(binaryStl(cube), { unit });
    expect(corners).toEqual(cube.map((x) => x * factor));
    expect(source).toMatchObject({ unit, unitFrom: 'option' });
  });

  test('bytes after the last facet are a finding', async () => {
    const { corners, findings } = await read(joined(binaryStl(cube, 'solid x'), new Uint8Array(10)));
    expect(corners).toEqual(cube);
    expect(findings).toMatchObject([{ code: 'read.trailing-bytes', count: 10 }]);
  });

  test.each([1, 23, 50, 500])('lacking %d bytes is refused, saying what is there', async (lack) => {
    const bytes = binaryStl(cube);
    const info = await refusal(bytes.subarray(0, bytes.length - lack));
    expect(info.code).toBe('read.truncated');
    expect(info.what).toContain('12 facets (684 bytes)');
    expect(info.what).toContain(`holds ${12 - Math.ceil(lack / 50)} (${684 - lack} bytes)`);
  });

  test.each([NaN, Infinity, -Infinity])(
    'with a coordinate of %d is refused, naming the facet',
    async (bad) => {
      const broken = cube.slice();
      broken[9 * 4 + 5] = broken[9 * 7] = bad;
      const info = await refusal(binaryStl(broken));
      expect(info).toMatchObject({ code: 'read.non-finite', where: 'part.stl: facet 5' });
      expect(info.what).toContain('2 of 12');
    },
  );

  test('without facets is refused', async () => {
    expect(await refusal(binaryStl(new Float64Array()))).toMatchObject({ code: 'read.no-triangles' });
  });

  test('with more triangles than asked for is refused', async () => {
    expect((await refusal(binaryStl(cube), { maxTriangles: 11 })).code).toBe('read.too-many-triangles');
    expect((await read(binaryStl(cube), { maxTriangles: 12 })).source.triangles).toBe(12);
  });

  // Outside check: node:crypto, another implementation of FIPS 180-4.
  test('the checksum is that of the bytes', async () => {
    const bytes = binaryStl(cube);
    expect((await read(bytes)).source.sha256).toBe(createHash('sha256').update(bytes).digest('hex'));
  });
});

describe('ASCII STL', () => {
  const text = new TextDecoder().decode(asciiStl(cube));

  test.each<[string, string]>([
    ['as written', text],
    ['with CRLF', text.replaceAll('\n', '\r\n')],
    ['with CR', text.replaceAll('\n', '\r')],
    ['in upper case', text.toUpperCase()],
    ['with a byte order mark', `\ufeff${text}`],
    ['with tabs, blank lines and no indentation', text.replace(/\n +/g, '\n\n\t')],
    ['without a last line end', text.trimEnd()],
    ['padded with NUL', `${text}\0\0\0`],
    ['with a name full of its own words', text.replace('solid part', 'solid facet vertex 1,5 loop')],
    ['with normals that are no numbers', text.replace(/normal .*/g, 'normal nan nan -nan')],
  ])('%s', async (_, variant) => {
    const { corners, source, findings } = await read(bytesOf(variant));
    expect(corners.map(Math.fround)).toEqual(cube);
    expect(source).toMatchObject({ format: 'stl-ascii', triangles: 12, unit: 'mm', unitFrom: 'default' });
    expect(findings).toEqual([]);
  });

  test('several solids become one part, and say so', async () => {
    const { corners, findings } = await read(bytesOf(text + text));
    expect(corners.length).toBe(2 * cube.length);
    expect(findings).toMatchObject([{ code: 'read.several-solids', count: 2 }]);
  });

  test('a missing endsolid is a finding', async () => {
    const { corners, findings } = await read(bytesOf(text.replace(/endsolid.*/, '')));
    expect(corners.length).toBe(cube.length);
    expect(findings).toMatchObject([{ code: 'read.no-endsolid', count: 1 }]);
  });

  const line = (number: number, change: (line: string) => string): string =>
    text
      .split('\n')
      .map((one, i) => (i === number - 1 ? change(one) : one))
      .join('\n');
  test.each<[string, string, string, RegExp]>([
    ['decimal commas', line(12, (one) => one.replaceAll('.', ',')), 'read.not-a-number', /line 12$/],
    ['nan', line(11, (one) => one.replace(/\S+$/, 'nan')), 'read.non-finite', /line 11$/],
    ['an infinite number', line(11, (one) => one.replace(/\S+$/, '-Inf')), 'read.non-finite', /line 11$/],
    ['a number too large', line(11, (one) => one.replace(/\S+$/, '1e400')), 'read.non-finite', /line 11$/],
    ['two numbers in a vertex', line(4, (one) => one.replace(/\S+$/, '')), 'read.not-a-number', /line 5$/],
    ['two vertices in a facet', line(5, () => ''), 'read.not-a-triangle', /line 8$/],
    ['four vertices in a facet', line(5, (one) => `${one}\n${one}`), 'read.not-a-triangle', /line 9$/],
    ['a strange word', line(9, () => 'colour 1 2 3'), 'read.unexpected-word', /line 9$/],
    ['an end inside a facet', text.slice(0, text.lastIndexOf('vertex')), 'read.truncated', /line/],
    ['an end inside a vertex', text.slice(0, text.lastIndexOf('vertex') + 12), 'read.not-a-number', /line/],
    ['no facets', 'solid a\nendsolid a\n', 'read.no-triangles', /part.stl/],
  ])('%s: refused with the line', async (_, broken, code, where) => {
    const info = await refusal(bytesOf(broken));
    expect(info.code).toBe(code);
    expect(info.where).toMatch(where);
  });

  // Outside check: the language's own correctly rounded `Number`.
  test.each([1, 2, 3])('reads numbers to the last bit (seed %d)', async (seed) => {
    const random = shapes.randomNumbers(seed);
    const digits = (n: number): string => Array.from({ length: n }, () => Math.floor(10 * random())).join('');
    const words = Array.from({ length: 900 }, (_, i) => {
      const sign = ['', '-', '+'][i % 3];
      const body = [
        `${digits(3)}.${digits(1 + (i % 18))}`,
        `.${digits(4)}`,
        `${digits(2)}.`,
        digits(1 + (i % 19)),
      ][i % 4];
      return `${sign}${body}${['', `e${Math.floor(60 * random()) - 30}`, `E+0${i % 9}`][i % 7 < 3 ? i % 7 : 0]}`;
    });
    const facets = Array.from(
      { length: 100 },
      (_, f) =>
        `facet normal 0 0 0\nouter loop\n${[0, 3, 6]
          .map((k) => `vertex ${words.slice(9 * f + k, 9 * f + k + 3).join(' ')}`)
          .join('\n')}\nendloop\nendfacet`,
    );
    const { corners } = await read(bytesOf(`solid\n${facets.join('\n')}\nendsolid`));
    expect([...corners]).toEqual(words.map(Number));
  });
});

describe('other files are refused by what they are', () => {
  test.each<[string, Uint8Array | string, string, RegExp]>([
    ['0 bytes', '', 'read.empty-file', /0 bytes/],
    ['half a ZIP', 'PK\x03\x04\x14\0rest of it', 'read.truncated', /ZIP archive/],
    ['half a PLY', 'ply\nformat ascii 1.0\nelement vertex 8\n', 'read.damaged', /PLY/],
    ['a letter in lines', 'o dear colleague,\ng force is 9.81\n', 'read.unknown-format', /text file/],
    ['STEP where nothing reads it', 'ISO-10303-21;\nHEADER;\n', 'read.unsupported-format', /STEP/],
    ['PDF', '%PDF-1.7\n', 'read.unknown-format', /PDF/],
    ['HTML', '<!DOCTYPE html><html><body>not found</body></html>', 'read.unknown-format', /HTML/],
    ['XML', '<?xml version="1.0"?><model/>', 'read.unknown-format', /XML/],
    [
      'text',
      `Dear colleague, the part is attached. ${'It really is. '.repeat(20)}`,
      'read.unknown-format',
      /text file/,
    ],
    ['JSON', '{"version": 1}', 'read.unknown-format', /JSON file, but no glTF/],
    ['broken JSON', '{"asset": ', 'read.damaged', /JSON that cannot be read/],
    ['a solid of words', 'solid advice: measure twice, cut once', 'read.unknown-format', /without any facet/],
    ['zeros', new Uint8Array(200), 'read.no-triangles', /no triangles/],
    ['a few bytes', Uint8Array.of(1, 2, 3, 0, 0), 'read.unknown-format', /too short/],
    ['noise (seed 5)', noise(5, 4000), 'read.unknown-format', /not an STL/],
  ])('%s', async (_, content, code, what) => {
    const bytes =
      typeof content === 'string' ? Uint8Array.from(content, (letter) => letter.charCodeAt(0)) : content;
    const info = await refusal(bytes);
    expect(info.code).toBe(code);
    expect(info.what).toMatch(what);
    expect(info.remedy).not.toBe('');
  });
});

/** A file in memory that is handed out piece by piece. */
function chunksOf(bytes: Uint8Array): FileChunks {
  let at = 0;
  return {
    length: bytes.length,
    read: (into) => {
      const piece = bytes.subarray(at, at + into.length);
      into.set(piece);
      at += piece.length;
      return piece.length;
    },
    sha256: () => createHash('sha256').update(bytes.subarray(0, at)).digest('hex'),
  };
}

describe('a long file, read through a window', () => {
  const inPieces = (text: string, windowBytes: number) => {
    const file = chunksOf(bytesOf(text)),
      window = new Uint8Array(windowBytes);
    return readAsciiStl(window.subarray(0, file.read(window)), 'part.stl', file);
  };
  const text = new TextDecoder()
    .decode(asciiStl(cube))
    .replaceAll('\n', '\r\n')
    .replace('endsolid', 'endsolid\r\nsolid two\r\nendsolid');

  // Every place of the text is the end of a piece for some of these, in words, numbers and line ends.
  test('of any size gives what the whole gives', () => {
    const whole = readAsciiStl(bytesOf(text), 'part.stl');
    expect(whole.corners.map(Math.fround)).toEqual(cube);
    for (let size = 48; size < 400; size++) expect(inPieces(text, size)).toEqual(whole);
    expect(inPieces(text, 2 * text.length)).toEqual(whole);
  });

  test('errors name the line of the file', () => {
    for (const [found, put] of [
      ['endsolid', 'vertex 1 2 x'],
      ['endsolid', 'facet'],
      ['endsolid', 'loop\rloop\r\nlop'],
    ]) {
      const broken = text.replace(found, put);
      const messageOf = (read: () => unknown): string => {
        try {
          read();
        } catch (error) {
          return (error as Error).message;
        }
        throw new Error('nothing was refused');
      };
      const whole = messageOf(() => readAsciiStl(bytesOf(broken), 'part.stl'));
      expect(whole).toMatch(/line \d+/);
      for (let size = 48; size < 400; size += 7) expect(messageOf(() => inPieces(broken, size))).toBe(whole);
    }
  });

  // A coordinate cut at the end of a window would be another number.
  test('a number longer than half a window is read whole or refused', () => {
    const exact = '1.00000000000000000000000000000000000000000000000000000000000000000002';
    const long = text.replace(/vertex \S+/, `vertex ${exact}`);
    let refused = 0;
    for (let size = 48; size < 400; size++) {
      try {
        expect(inPieces(long, size).corners[0]).toBe(1);
      } catch (error) {
        expect((error as Error).message).toMatch(/digits|nothing/);
        refused++;
      }
    }
    expect(refused).toBeGreaterThan(0);
    expect(inPieces(long, 400).corners[0]).toBe(1);
  });

  test('has the checksum and the length of the file, as the whole has', async () => {
    const bytes = bytesOf(text);
    expect(await readPart(chunksOf(bytes), { name: 'part.stl' })).toEqual(await read(bytes));
  });

  test('of another format is refused by its length', async () => {
    const bytes = joined(binaryStl(cube), new Uint8Array(3));
    const info = await refusalOf(readPart({ ...chunksOf(bytes), length: 3 * 2 ** 30 }, { name: 'part.stl' }));
    expect(info.code).toBe('read.too-large');
    expect(info.what).toBe('3.0 GiB; at most 2 GiB can be read, more of an ASCII STL alone');
  });
});
