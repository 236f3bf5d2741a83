/**
 * Slots and bores from just as wide as the cutter to a fifth wider: what is left are strips along the floor's
 * edge, whatever the play, and the rest above them. Closed forms in `support/strip-forms.ts`.
 */
import { describe, expect, test } from 'vitest';
import * as shapes from '../support/shapes.js';
import { plateWithFeature } from '../support/shapes/sweeps.js';
import { reachOfStl, type StlReach } from '../support/pipeline.js';
import {
  restAlong,
  restSection,
  roundedEdge,
  stripArea,
  stripsAtWall,
  within,
} from '../support/strip-forms.js';
import { chosen } from './chosen.js';

const { PI, abs, acos, ceil, max, tan } = Math;
const rad = (degrees: number): number => (degrees * PI) / 180;
const T = 0.02;
const PLAY = [1, 1.001, 1.01, 1.06, 1.2];
const RADII = [0.4, 1, 3, 10];
/** Chord errors of round walls, mm: about the tolerance, and well below it. */
const COARSE = 0.02;
const FINE = 0.002;
// Coarse and fine take turns, so that each play and each radius meets both.
const cases = PLAY.flatMap((play, i) =>
  RADII.map((radius, j) => [play, radius, (i + j) % 2 === 0 ? COARSE : FINE]),
);
/** Places of the chosen among them, by play and radius. */
const at = (...pairs: [play: number, radius: number][]): number[] =>
  pairs.map(([play, radius]) => RADII.length * PLAY.indexOf(play) + RADII.indexOf(radius));

/** Facets of a quarter of a circle whose chords stand out by no more; at least six, as no modeller writes fewer. */
const facetsOf = (radius: number, chordMm: number): number =>
  max(6, ceil(PI / 2 / (2 * acos(1 - chordMm / radius))));

const expectNear = (what: string, found: number, expected: number, least: number): void => {
  const most = max(0.02 * expected, least);
  expect(abs(found - expected), `${what} ${found.toFixed(3)} for ${expected.toFixed(3)}`).toBeLessThanOrEqual(
    most,
  );
};

async function expectLeft({ unreachedMm2, restMm3 }: StlReach, area: number, volume: number): Promise<void> {
  expectNear('unreached', unreachedMm2[0], area, 0);
  expectNear('rest', (await restMm3())[0], volume, 0.5);
}

/** What stands in a plate: floor half as wide as `half`, `length` between the middles of its round ends. */
interface Slot {
  readonly half: number;
  readonly length: number;
  readonly wallDeg: number;
  readonly depth: number;
  readonly chordMm: number;
  readonly turnDeg: number;
}

function slotPlate({ half, length, wallDeg, depth, chordMm, turnDeg }: Slot): Float64Array {
  const out = wallDeg === 90 ? 0 : depth / tan(rad(wallDeg));
  const ring = (more: number, z: number): shapes.RoundedRing => ({
    halfX: half + more,
    halfY: length / 2 + half + more,
    radius: half + more,
    z,
  });
  const corners = shapes.pocketPlate({
    tileX: 2 * (half + out) + 10,
    tileY: length + 2 * (half + out) + 10,
    bottomZ: -depth - 5,
    tiles: [[{ facets: facetsOf(half, chordMm), rings: [ring(out, 0), ring(0, -depth)] }]],
  });
  return shapes.turned(corners, turnDeg);
}

/** Asks what one ball reaches of a slot, and compares. */
async function checkSlot(slot: Slot, radius: number): Promise<void> {
  const { half, length, depth } = slot;
  const wallRad = rad(slot.wallDeg);
  const edge = roundedEdge(half, length / 2 + half, half);
  const area = stripArea(edge, wallRad, stripsAtWall(radius, T, { wallRad, depth }));
  await expectLeft(await reachOfStl(slotPlate(slot), [radius], T), area, restAlong(edge, wallRad, radius));
}

describe('upright slots with round ends', () => {
  test.each(chosen(cases, at([1, 10], [1.01, 1], [1.06, 0.4], [1.2, 3])))(
    '%d times as wide as a ball of R %d, chords %d',
    async (play, radius, chordMm) => {
      const [half, length, depth] = [play * radius, 6 * radius, 2.5 * radius];
      const turnDeg = 40 * (play - 1) + 3 * radius;
      await checkSlot({ half, length, wallDeg: 90, depth, chordMm, turnDeg }, radius);
    },
  );
});

describe('drafted slots with round ends', () => {
  const drafted = cases.map(([play, radius, chordMm], i) => [play, radius, chordMm, i % 3 === 0 ? 5 : 1]);
  // As wide as the cutter: the ball touches the floor and both walls at once, R tan(phi / 2) from each edge.
  test.each(chosen(drafted, at([1, 3], [1.06, 0.4], [1.2, 10])))(
    'floor %d times as wide as a ball of R %d needs, chords %d, walls drafted by %d',
    async (play, radius, chordMm, draft) => {
      const wallDeg = 90 - draft;
      const half = play * radius * tan(rad(wallDeg) / 2);
      const [length, depth, turnDeg] = [6 * radius, 2.5 * radius, 11];
      await checkSlot({ half, length, wallDeg, depth, chordMm, turnDeg }, radius);
    },
  );
});

describe('blind bores', () => {
  test.each(chosen(cases, at([1, 0.4], [1.001, 3], [1.2, 10])))(
    '%d times as wide as a ball of R %d, chords %d',
    async (play, radius, chordMm) => {
      const [half, depth] = [play * radius, 2.5 * radius];
      await checkSlot({ half, length: 0, wallDeg: 90, depth, chordMm, turnDeg: 13 }, radius);
    },
  );
});

describe('ring slots', () => {
  // Strips on both walls 4 pi Rm d, on the floor as much; section R² (1 - pi / 4) on either side, whose
  // centroids lie evenly about the middle radius (Pappus-Guldin).
  test.each(chosen(cases, at([1, 3], [1.06, 0.4], [1.2, 10])))(
    '%d times as wide as a ball of R %d, chords %d',
    async (play, radius, chordMm) => {
      const [middle, half, depth] = [4 * radius, play * radius, 2.5 * radius];
      const corners = plateWithFeature({
        side: 2 * (middle + half) + 10,
        bottomZ: -depth - 5,
        segments: 4 * facetsOf(middle, chordMm),
        profile: [
          [middle + half, 0],
          [middle + half, -depth],
          [middle - half, -depth],
          [middle - half, 0],
          [0, 0],
        ],
      });
      const found = await reachOfStl(shapes.turned(corners, 4.7), [radius], T);
      const d = radius - within(radius, T);
      await expectLeft(found, 8 * PI * middle * d, 4 * PI * middle * restSection(radius, rad(90)));
    },
  );
});

describe('bores right through', () => {
  test.each(chosen(cases, at([1, 1], [1.001, 0.4], [1.01, 3], [1.2, 10])))(
    '%d times as wide as a ball of R %d, chords %d: nothing is left',
    async (play, radius, chordMm) => {
      const half = play * radius;
      const corners = shapes.pocketPlate({
        tileX: 2 * half + 10,
        tileY: 2 * half + 10,
        bottomZ: -2.5 * radius,
        tiles: [
          [
            {
              facets: facetsOf(half, chordMm),
              through: true,
              rings: [0, -2.5 * radius].map((z) => ({ halfX: half, halfY: half, radius: half, z })),
            },
          ],
        ],
      });
      const { unreachedMm2, restMm3 } = await reachOfStl(corners, [radius], T);
      expect(unreachedMm2).toEqual([0]);
      expectNear('rest', (await restMm3())[0], 0, 0.5);
    },
  );
});
