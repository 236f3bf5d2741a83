/** Families of mould-like parts. All draws come first, and none depends on how finely arcs are cut. */
import { CHORD_MM, type OutlineSpec, type ProfileCorner } from '../../../models/outline.js';
import { steps } from '../../support/labelled-mesh.js';
import { heightBlock } from '../../support/shapes/height-block.js';
import { moved } from '../../support/shapes/variants.js';
import type { Draws } from './draws.js';
import { bar, box, freeform, raised, sunk, type Piece } from './solids.js';

/** What is drawn upon: a block about the z axis, its top at 0, mm. */
export interface Blank {
  readonly sizeX: number;
  readonly sizeY: number;
  readonly height: number;
}

/** How a part comes about: pieces as fine as asked, and what is known of it. */
export interface Recipe {
  readonly pieces: (refine: number) => Piece[];
  /** every ball up to this radius reaches all that is not upright on the outside; null: not known */
  readonly reachedUpToMm: number | null;
}
type Family = (draw: Draws, blank: Blank) => Recipe;
type Make = (refine: number) => Piece;

const DRAFTS_DEG = [0, 0.5, 1, 3, 5, 10, 20];
const tan = (degrees: number): number => Math.tan((degrees * Math.PI) / 180);
const block = ({ sizeX, sizeY, height }: Blank): Piece => box(sizeX, sizeY, -height, 0);
const least = ({ sizeX, sizeY }: Blank): number => Math.min(sizeX, sizeY);

/** A pocket's or boss's wall: rounded at the face by `edge`, at the other end by `fillet`. */
interface WallSpec {
  readonly corners: ProfileCorner[];
  readonly edge: number;
  readonly fillet: number;
}

/** A wall that fits round corners of a radius, from the face at `z` by `run`, down where it is below 0. */
function wall(draw: Draws, radius: number, z: number, run: number): WallSpec {
  const size = Math.abs(run);
  const inset = Math.min(size * tan(draw.oneOf(DRAFTS_DEG)), 0.5 * radius);
  const edge = draw.chance(0.3) ? draw.between(0.05, 0.3) * size : 0;
  const fillet = draw.chance(0.7) ? Math.min(draw.between(0.1, 0.45) * size, 0.9 * (radius - inset)) : 0;
  return {
    corners: [
      [0, z, edge],
      [inset, z + run, fillet],
    ],
    edge,
    fillet,
  };
}

/** Pockets side by side, none touching another. */
const pockets: Family = (draw, blank) => {
  const [columns, rows] = [draw.count(1, 3), draw.count(1, 2)];
  const [tileX, tileY] = [blank.sizeX / columns, blank.sizeY / rows];
  const makes: Make[] = [];
  let reachedUpToMm = Infinity;
  for (let k = 0; k < columns * rows; k++) {
    const [halfX, halfY] = [tileX, tileY].map((tile) => (tile / 2) * draw.between(0.4, 0.8));
    const radius = draw.between(0.1, 1) * Math.min(halfX, halfY);
    const depth = draw.between(0.15, 0.8) * Math.min(blank.height, 3 * Math.min(halfX, halfY));
    const { corners, fillet } = wall(draw, radius, 0, -depth);
    // An edge's rounding widens the pocket, by less than the land.
    const land = Math.min(tileX / 2 - halfX, tileY / 2 - halfY);
    corners[0] = [0, 0, Math.min(corners[0][2], 0.8 * land)];
    const centre = [
      tileX * ((k % columns) + 0.5 - columns / 2),
      tileY * (Math.floor(k / columns) + 0.5 - rows / 2),
    ] as const;
    const outline: OutlineSpec = { halfX, halfY, radius, centre };
    makes.push((refine) => sunk({ outline, corners, beyondMm: 1 }, refine));
    reachedUpToMm = Math.min(reachedUpToMm, fillet);
  }
  return { pieces: (refine) => [block(blank), ...makes.map((make) => make(refine))], reachedUpToMm };
};

/** A rib across the middle, drafted, with round tops or sharp ones. */
function rib(
  draw: Draws,
  width: number,
  z: number,
  rise: number,
  place: Pick<Parameters<typeof bar>[1], 'lengthMm' | 'middle' | 'turnDeg'>,
): Make {
  const half = width / 2;
  const inset = Math.min(rise * tan(draw.oneOf(DRAFTS_DEG)), 0.6 * half);
  const round = draw.chance(0.4) ? 0.4 * (half - inset) : 0;
  const foot = draw.chance(0.4) ? Math.min(0.3 * rise, half) : 0;
  const corners: ProfileCorner[] = [
    [half, z, foot],
    [half - inset, z + rise, round],
    [inset - half, z + rise, round],
    [-half, z, foot],
  ];
  return (refine) => bar('add', { corners, closedAtMm: z - 0.1 * rise, ...place }, refine);
}

/** A core on a plate, with ribs from it to the plate's sides and bores in its top. */
const core: Family = (draw, blank) => {
  const { sizeX, sizeY, height } = blank;
  const foot = -draw.between(0.4, 0.8) * height;
  const [halfX, halfY] = [sizeX, sizeY].map((size) => (size / 2) * draw.between(0.4, 0.7));
  const radius = draw.between(0.15, 0.95) * Math.min(halfX, halfY);
  // Standing on its face, what is the pocket's floor is the core's top.
  const { corners } = wall(draw, radius, foot, -foot);
  corners[0] = [0, foot, Math.min(corners[0][2], 0.2 * (sizeX / 2 - halfX))];
  const ribs = Array.from({ length: draw.count(0, 3) }, () => {
    const isX = draw.chance(0.5);
    const [along, across] = isX ? [sizeX, halfY] : [sizeY, halfX];
    const at = draw.between(-0.6, 0.6) * across;
    // From the middle of the core to the plate's side, flush with it.
    const middle: [number, number] = isX ? [along / 4, at] : [at, along / 4];
    return rib(draw, draw.between(0.03, 0.2) * across, foot, -foot * draw.between(0.3, 0.9), {
      lengthMm: along / 2,
      middle,
      turnDeg: isX ? 90 : 0,
    });
  });
  return {
    pieces: (refine) => [
      box(sizeX, sizeY, -height, foot),
      raised({ outline: { halfX, halfY, radius }, corners, beyondMm: -0.1 * foot }, refine),
      ...ribs.map((make) => make(refine)),
    ],
    reachedUpToMm: null,
  };
};

/** A cavity with ribs across it, flush with both its walls, and bosses on its floor. */
const ribbed: Family = (draw, blank) => {
  const [halfX, halfY] = [blank.sizeX, blank.sizeY].map((size) => (size / 2) * draw.between(0.6, 0.85));
  const radius = draw.between(0.1, 0.6) * Math.min(halfX, halfY);
  const depth = draw.between(0.3, 0.8) * blank.height;
  const { corners } = wall(draw, radius, 0, -depth);
  corners[0] = [0, 0, 0];
  const ribs = Array.from({ length: draw.count(1, 4) }, () => {
    const isX = draw.chance(0.5);
    const at = draw.between(-0.7, 0.7) * (isX ? halfY : halfX);
    return rib(
      draw,
      draw.between(0.04, 0.2) * Math.min(halfX, halfY),
      -depth,
      depth * draw.between(0.2, 0.95),
      {
        lengthMm: 2 * (isX ? halfX : halfY),
        middle: isX ? [0, at] : [at, 0],
        turnDeg: isX ? 90 : 0,
      },
    );
  });
  const bosses = Array.from({ length: draw.count(0, 2) }, () => {
    const size = draw.between(0.1, 0.25) * Math.min(halfX, halfY);
    const centre = [draw.between(-0.6, 0.6) * halfX, draw.between(-0.6, 0.6) * halfY] as const;
    const own = wall(draw, size, -depth, draw.between(0.2, 0.7) * depth).corners;
    return (refine: number): Piece =>
      raised(
        { outline: { halfX: size, halfY: size, radius: size, centre }, corners: own, beyondMm: 0.1 * depth },
        refine,
      );
  });
  return {
    pieces: (refine) => [
      block(blank),
      sunk({ outline: { halfX, halfY, radius }, corners, beyondMm: 1 }, refine),
      ...[...ribs, ...bosses].map((make) => make(refine)),
    ],
    reachedUpToMm: null,
  };
};

/** Stairs over the whole width, and others across them, flush with the sides. */
const stepped: Family = (draw, blank) => {
  const stairs = (length: number): ProfileCorner[] => {
    const count = draw.count(1, 4);
    const [run, rise] = [(0.8 * length) / count, (0.7 * blank.height) / count];
    const corners: ProfileCorner[] = [[-length / 2 - 1, -0.7 * blank.height, 0]];
    for (let k = 0; k < count; k++) {
      const x = -length / 2 + run * (k + draw.between(0.4, 0.9));
      const z = -0.7 * blank.height + rise * k;
      const lean = Math.min(0.3 * run, rise * tan(draw.oneOf([...DRAFTS_DEG, 45])));
      const most = 0.3 * Math.min(rise, run * 0.4);
      corners.push([x, z, draw.chance(0.6) ? draw.between(0.3, 1) * most : 0]);
      corners.push([
        Math.min(x + lean, length / 2),
        z + rise,
        draw.chance(0.4) ? draw.between(0.3, 1) * most : 0,
      ]);
    }
    return [...corners, [length / 2 + 1, 0, 0]];
  };
  const runs = [
    { corners: stairs(blank.sizeX), lengthMm: blank.sizeY + 2, turnDeg: 0 },
    ...(draw.chance(0.5) ? [{ corners: stairs(blank.sizeY), lengthMm: blank.sizeX + 2, turnDeg: 90 }] : []),
  ];
  return {
    pieces: (refine) => [block(blank), ...runs.map((run) => bar('cut', { ...run, closedAtMm: 1 }, refine))],
    reachedUpToMm: null,
  };
};

/** V-shaped, round and flat-bottomed grooves at any angle; those that do not run out end upright. */
const grooves: Family = (draw, blank) => {
  const size = least(blank);
  const makes = Array.from({ length: draw.count(2, 5) }, (): Make => {
    const half = draw.ofSizes(0.02, 0.12) * size;
    const asked = Math.min(half * draw.ofSizes(0.1, 3), 0.7 * blank.height);
    const foot = draw.oneOf([0, 0.4, 0.9]) * half;
    // Three strips that lean from each other by less than a crease may as well be chords of a round groove.
    const depth = foot === 0 ? asked : Math.max(asked, 0.75 * (half - foot));
    const round = draw.chance(0.5) ? draw.between(0.3, 0.95) * Math.min(foot, depth / 2) : 0;
    const corners: ProfileCorner[] =
      foot === 0
        ? [
            [-half, 0, 0],
            [0, -depth, 0],
            [half, 0, 0],
          ]
        : [
            [-half, 0, 0],
            [-foot, -depth, round],
            [foot, -depth, round],
            [half, 0, 0],
          ];
    const run = {
      lengthMm: draw.chance(0.5) ? 3 * blank.sizeX : draw.between(0.2, 0.7) * size,
      middle: [draw.between(-0.35, 0.35) * blank.sizeX, draw.between(-0.35, 0.35) * blank.sizeY] as const,
      turnDeg: draw.between(0, 180),
    };
    return (refine) => bar('cut', { corners, closedAtMm: 1, ...run }, refine);
  });
  return { pieces: (refine) => [block(blank), ...makes.map((make) => make(refine))], reachedUpToMm: null };
};

/** Strokes as of letters, over each other, sunk into the top. */
const letters: Family = (draw, blank) => {
  const size = least(blank);
  const width = draw.between(0.015, 0.05) * size;
  const depth = Math.min(draw.between(0.3, 2) * width, 0.6 * blank.height);
  const inset = Math.min(0.3 * width, depth * tan(draw.oneOf(DRAFTS_DEG)));
  const makes = Array.from({ length: draw.count(4, 12) }, (): Make => {
    const [halfX, halfY] = [draw.between(0.05, 0.2) * size, width / 2];
    const centre = [draw.between(-0.3, 0.3) * size, draw.between(-0.3, 0.3) * size] as const;
    const turnDeg = draw.oneOf([0, 90, draw.between(0, 180)]);
    const isRound = draw.chance(0.5);
    const corners: ProfileCorner[] = [
      [0, 0, 0],
      [inset, -depth, 0],
    ];
    const straight = [
      [-halfY, 0, 0],
      [inset - halfY, -depth, 0],
      [halfY - inset, -depth, 0],
      [halfY, 0, 0],
    ] as const;
    return (refine) =>
      isRound
        ? sunk({ outline: { halfX, halfY, radius: halfY, centre, turnDeg }, corners, beyondMm: 1 }, refine)
        : bar(
            'cut',
            { corners: straight, closedAtMm: 1, lengthMm: 2 * halfX, middle: centre, turnDeg },
            refine,
          );
  });
  return { pieces: (refine) => [block(blank), ...makes.map((make) => make(refine))], reachedUpToMm: null };
};

const BORES = ['bore', 'counterbore', 'countersink', 'dovetail', 'tee'] as const;

function boreProfile(kind: (typeof BORES)[number], radius: number, depth: number): ProfileCorner[] {
  /** To another radius at a height, and on upright. */
  const step = (inset: number, z: number): ProfileCorner[] => [
    [0, z, 0],
    [inset, z, 0],
    [inset, -depth, 0],
  ];
  const below: Record<typeof kind, ProfileCorner[]> = {
    bore: [[0, -depth, 0]],
    counterbore: step(0.4 * radius, -0.3 * depth),
    countersink: [
      [0.3 * radius, -0.3 * radius, 0],
      [0.3 * radius, -depth, 0],
    ],
    dovetail: [[-0.3 * Math.min(radius, depth), -depth, 0]],
    tee: step(-0.4 * radius, -0.4 * depth),
  };
  return [[0, 0, 0], ...below[kind]];
}

/** Bores with counterbores and countersinks, pockets wider below than above, slots of T shape. */
const bores: Family = (draw, blank) => {
  const size = least(blank);
  const makes = Array.from({ length: draw.count(2, 6) }, (): Make => {
    const radius = draw.ofSizes(0.015, 0.15) * size;
    const depth = Math.min(draw.between(0.5, 6) * radius, 1.1 * blank.height);
    const kind = draw.oneOf(BORES);
    const corners = boreProfile(kind, radius, depth);
    const long =
      kind === 'bore' || kind === 'countersink' ? 0 : draw.oneOf([0, draw.between(0.05, 0.3) * size]);
    const outline: OutlineSpec = {
      halfX: radius + long,
      halfY: radius,
      radius,
      centre: [draw.between(-0.42, 0.42) * blank.sizeX, draw.between(-0.42, 0.42) * blank.sizeY],
      turnDeg: draw.between(0, 180),
    };
    return (refine) => sunk({ outline, corners, beyondMm: 1 }, refine);
  });
  return { pieces: (refine) => [block(blank), ...makes.map((make) => make(refine))], reachedUpToMm: null };
};

/** Slots side by side, walls of any thinness between them. */
const thin: Family = (draw, blank) => {
  const size = least(blank);
  const width = draw.ofSizes(0.02, 0.1) * size;
  const depth = Math.min(draw.between(1, 8) * width, 0.8 * blank.height);
  const count = draw.count(2, 5);
  const isThrough = draw.chance(0.4);
  let x = -0.35 * blank.sizeX;
  const makes = Array.from({ length: count }, (): Make => {
    const half = (width / 2) * draw.between(0.6, 1.4);
    const inset = Math.min(0.4 * half, depth * tan(draw.oneOf([0, 0.5, 1, 3])));
    const fillet = draw.chance(0.5) ? draw.between(0.2, 0.9) * (half - inset) : 0;
    const at = x + half;
    x += 2 * half + draw.ofSizes(0.05, 1) * width;
    const corners: ProfileCorner[] = [
      [0, 0, 0],
      [inset, -depth, fillet],
    ];
    const straight: ProfileCorner[] = [
      [-half, 0, 0],
      [inset - half, -depth, fillet],
      [half - inset, -depth, fillet],
      [half, 0, 0],
    ];
    const halfY = draw.between(0.2, 0.4) * blank.sizeY;
    return (refine) =>
      isThrough
        ? bar('cut', { corners: straight, closedAtMm: 1, lengthMm: blank.sizeY + 2, middle: [at, 0] }, refine)
        : sunk(
            {
              outline: { halfX: half, halfY: halfY + half, radius: half, centre: [at, 0] },
              corners,
              beyondMm: 1,
            },
            refine,
          );
  });
  return { pieces: (refine) => [block(blank), ...makes.map((make) => make(refine))], reachedUpToMm: null };
};

/** Along a side of what waves: large ones have coarser chords than asked. */
const MOST_CELLS = 60;

/** A top that waves both ways, with a crest, cut square. */
const waved: Family = (draw, blank) => {
  const { sizeX, sizeY, height } = blank;
  const size = least(blank);
  const [periodX, periodY] = [draw.between(0.4, 1.2) * size, draw.between(0.4, 1.2) * size];
  const rise = Math.min(draw.between(0.02, 0.06) * size, 0.25 * height);
  const crest = draw.chance(0.5) ? Math.min(0.25 * height, 0.06 * size) : 0;
  const width = draw.between(0.1, 0.3) * size;
  const at = (x: number, y: number): number =>
    0.5 * height +
    rise * Math.sin((6.28 * x) / periodX) * Math.cos((6.28 * y) / periodY) +
    crest / (1 + ((x - 0.7 * y) / width) ** 2);
  // No second derivative is greater; a square cell of side h lies off by that times (h / 2)² at most, over its diagonal.
  const bend = rise * 6.28 ** 2 * (1 / periodX ** 2 + 1 / periodY ** 2) + (2 * 1.49 * crest) / width ** 2;
  return {
    pieces: (refine) => {
      const cell = (2 * Math.sqrt(CHORD_MM / bend)) / refine;
      const [xs, ys] = [sizeX, sizeY].map((side) => {
        const n = Math.max(4, Math.min(MOST_CELLS, Math.ceil(side / cell)));
        return steps(n, side / n).map((x) => x - side / 2);
      });
      return [freeform(moved(heightBlock(xs, ys, at), [0, 0, -height]))];
    },
    reachedUpToMm: null,
  };
};

/** By name. */
export const FAMILIES: Readonly<Record<string, Family>> = {
  pockets,
  core,
  ribbed,
  stepped,
  grooves,
  letters,
  bores,
  thin,
  waved,
};

/** Families whose pieces may be cut out of any other's part besides. */
export const BESIDES = ['grooves', 'letters', 'bores', 'thin'] as const;
