import { expect, test } from 'vitest';
import { CLASS_INDEX, MACHINABLE_CLASSES } from '../../src/core/classes.js';
import { connectedRegions } from '../../src/surface/connected-regions.js';
import { mergeIslands } from '../../src/zones/merge-islands.js';
import { gridMesh, steps } from '../support/labelled-mesh.js';

const { level, shallow, steep, undercut } = CLASS_INDEX;
const SIZE = 8;
const grid = gridMesh(steps(SIZE), steps(SIZE));
const areas = new Float64Array(2 * SIZE * SIZE).fill(0.5);

/** Classes of an 8 by 8 board of unit squares from rows of letters, the last row at y = 0. */
function board(rows: string): Uint8Array {
  const letters = { '.': level, s: shallow, w: steep, u: undercut };
  const cells = rows.trim().split(/\s+/).reverse().join('');
  expect(cells).toHaveLength(SIZE * SIZE);
  return Uint8Array.from(
    [...cells].flatMap((c) => {
      const cls = Object.entries(letters).find(([letter]) => letter === c)![1];
      return [cls, cls];
    }),
  );
}
const merge = (rows: string, minRegionMm2: number) =>
  mergeIslands({
    ...grid,
    classOf: board(rows),
    areas,
    mayMerge: (cls) => cls < MACHINABLE_CLASSES,
    minRegionMm2,
    leastMm2: areas.map(() => minRegionMm2),
  });
const names = (findings: readonly { code: string; count: number }[]) =>
  findings.map((f) => `${f.code} ${f.count}`);

const CHECKERS = Array.from({ length: SIZE }, (_, j) => (j % 2 ? 'ws' : 'sw').repeat(SIZE / 2)).join(' ');

test('patches join across edges, not across corners, and skip negative labels', () => {
  // On a checkerboard every square stands alone; the count is that of the squares.
  expect(connectedRegions(grid.topology, board(CHECKERS)).count).toBe(SIZE * SIZE);
  expect(connectedRegions(grid.topology, new Int32Array(areas.length)).count).toBe(1);
  const left = Int32Array.from(areas, (_, f) => ((f >> 1) % SIZE < 4 ? -1 : 7));
  const { regionOfFace, count } = connectedRegions(grid.topology, left);
  expect(count).toBe(1);
  expect([...regionOfFace].filter((r) => r < 0)).toHaveLength(SIZE * SIZE);
  expect(() => connectedRegions(grid.topology, [0])).toThrow(RangeError);
});

const FRECKLED = `
ssssssss
ssssssss
sswsssss
ssssssss
wwwwwsww
wwwwwwww
wwwwwwww
wwwwuuww`;

test('a freckle takes the class around it; what is large enough stays', () => {
  const { classOf, findings } = merge(FRECKLED, 1.5);
  // Squares: the lone steep one goes; the shallow one in the wall still hangs on its region; undercut may not
  // move.
  expect([...classOf]).toEqual([...board(FRECKLED.replace('sswsssss', 'ssssssss'))]);
  expect(names(findings)).toEqual(['zones.island-merged 1']);
  expect(findings[0].message).toContain('what is round them: 1 mm² of steep as shallow');
  expect(findings[0].whereMm![0]).toBeGreaterThan(2);
  expect(findings[0].whereMm![1]).toBeGreaterThan(5);
});

test('nothing moves at 0, nor when the island is exactly as large as the limit', () => {
  for (const limit of [0, 1]) {
    const { classOf, findings } = merge(FRECKLED, limit);
    expect([...classOf]).toEqual([...board(FRECKLED)]);
    expect(findings).toEqual([]);
  }
});

test('the longest shared border decides, summed per class', () => {
  // The island's four sides: steep, steep, steep, shallow.
  const { classOf } = merge(
    `
ssssssss
ssssssss
ssssssss
ssssssss
wwww.www
wwwwwwww
wwwwwwww
wwwwwwww`,
    2,
  );
  expect([...classOf].filter((cls) => cls === steep)).toHaveLength(2 * 4 * SIZE);
});

test('islands side by side grow together before they are judged again: a checkerboard ends as one class', () => {
  const { classOf } = merge(CHECKERS, 30);
  expect(connectedRegions(grid.topology, classOf).count).toBe(1);
});

test('an island among classes that may not take it in is kept, and said', () => {
  const lone = `
uuuuuuuu
uuuuuuuu
uuuuuuuu
uuusuuuu
uuuuuuuu
uuuuuuuu
uuuuuuuu
uuuuuuuu`;
  const { classOf, findings } = merge(lone, 5);
  expect([...classOf]).toEqual([...board(lone)]);
  expect(names(findings)).toEqual(['zones.island-kept 1']);
});

test('renumbering the faces changes nothing (seed 11)', () => {
  let seed = 11;
  const order = areas
    .map((_, f) => f)
    .sort(() => {
      seed = (seed * 16807) % 2147483647;
      return seed % 2 ? 1 : -1;
    });
  const classOf = board(FRECKLED);
  const at = new Int32Array(order.length);
  order.forEach((f, i) => {
    at[f] = i;
  });
  const half = (h: number) => (h < 0 ? -1 : 3 * at[Math.floor(h / 3)] + (h % 3));
  const triangles = new Uint32Array(3 * order.length),
    twin = new Int32Array(3 * order.length);
  for (let h = 0; h < twin.length; h++) {
    triangles[half(h)] = grid.mesh.triangles[h];
    twin[half(h)] = half(grid.topology.twin[h]);
  }
  const shuffled = mergeIslands({
    mesh: { positions: grid.mesh.positions, triangles },
    topology: { twin },
    areas,
    classOf: Uint8Array.from(order, (f) => classOf[f]),
    mayMerge: (cls) => cls < MACHINABLE_CLASSES,
    minRegionMm2: 1.5,
    leastMm2: areas.map(() => 1.5),
  });
  const plain = merge(FRECKLED, 1.5).classOf;
  expect([...shuffled.classOf]).toEqual([...order].map((f) => plain[f]));
});
