import { CHORD_MM } from '../../../models/outline.js';
import { moved, turned } from '../../support/shapes/variants.js';
import { drawsOf } from './draws.js';
import { BESIDES, FAMILIES, type Blank, type Recipe } from './families.js';
import { assembled, type Plane } from './solids.js';

/** A part made from a seed, and what is known of it before it is surveyed. */
export interface MadePart {
  readonly name: string;
  readonly blank: Blank;
  /** greatest distance of chords from the arcs they stand for, where facets turn by no more than 30 degrees, mm */
  readonly chordMm: number;
  /** every ball up to this radius reaches all of it; null: not known */
  readonly reachedUpToMm: number | null;
  /** what it is cut from: a box is another one where the part is turned */
  readonly block: 'box' | 'cylinder';
  /** (9 T) mm, chords as much finer as told, turned by as much more about Z */
  corners(finer?: number, turnDeg?: number): Float64Array;
  /** planes of the construction, as the part lies unless turned by more */
  readonly planes: readonly Plane[];
}

/** The same part for the same seed, a whole number from 0: families in turn, sizes, chords, pose and all else drawn. */
export function madePart(seed: number): MadePart {
  const draw = drawsOf(seed);
  const names = Object.keys(FAMILIES);
  const name = names[seed % names.length];
  const size = draw.ofSizes(9, 420);
  const blank = {
    sizeX: size,
    sizeY: size * draw.between(0.4, 1),
    height: draw.between(0.2, 0.6) * Math.min(size, 150),
  };
  const chordMm = draw.ofSizes(0.002, Math.min(0.2, size / 100));
  const turnDeg = draw.oneOf([0, 90, draw.between(0, 360)]);
  const by = [draw.between(-50, 50), draw.between(-50, 50), draw.between(-20, 20)] as const;
  const recipe = FAMILIES[name](draw, blank);
  const more = draw.chance(0.4) ? draw.oneOf(BESIDES.filter((one) => one !== name)) : null;
  const besides = more === null ? null : FAMILIES[more](draw, blank);
  const pieces = (finer: number) => allPieces(recipe, besides, Math.sqrt((finer * CHORD_MM) / chordMm));
  const place = (soup: Float64Array, more: number): Float64Array => moved(turned(soup, turnDeg + more), by);
  return {
    name: more === null ? name : `${name}, ${more}`,
    blank,
    chordMm,
    block: seed % 2 === 0 ? 'box' : 'cylinder',
    reachedUpToMm: besides === null ? recipe.reachedUpToMm : null,
    corners: (finer = 1, more = 0) => place(assembled(pieces(finer)), more),
    get planes() {
      return pieces(1).flatMap((piece) => piece.planes.map((plane) => placedPlane(plane, turnDeg, by)));
    },
  };
}

/** Of the second the first piece is its block. */
const allPieces = (recipe: Recipe, besides: Recipe | null, refine: number) => [
  ...recipe.pieces(refine),
  ...(besides?.pieces(refine).slice(1) ?? []),
];

function placedPlane(
  { normal, offsetMm }: Plane,
  turnDeg: number,
  by: readonly [number, number, number],
): Plane {
  const [x, y, z] = turned(Float64Array.from(normal), turnDeg);
  return { normal: [x, y, z], offsetMm: offsetMm + x * by[0] + y * by[1] + z * by[2] };
}
