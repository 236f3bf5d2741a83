import { soupBuilder } from '../tests/support/shapes/soup.js';
import { addFeature, addRings, type Feature } from './feature.js';
import { addLevelFace } from './level-face.js';
import type { Model } from './model.js';
import { outline, ring, roundedArea, type OutlineSpec } from './outline.js';

const BLOCK: OutlineSpec = { halfX: 40, halfY: 30, radius: 5 };
const HEIGHT = 30;

interface Undercut {
  readonly outline: OutlineSpec;
  /** thickness of the overhanging lip, how far it hangs over, depth of the floor, mm */
  readonly lip: number;
  readonly over: number;
  readonly depth: number;
  readonly edge: number;
  readonly fillet: number;
}

const RING: Undercut = {
  outline: { halfX: 14, halfY: 14, radius: 14, centre: [-18, 0] },
  lip: 6,
  over: 3.5,
  depth: 14,
  edge: 0.5,
  fillet: 1,
};
const LATCH: Undercut = {
  outline: { halfX: 10, halfY: 16, radius: 6, centre: [20, 0] },
  lip: 5,
  over: 3,
  depth: 11,
  edge: 0.5,
  fillet: 2,
};

const pocket = ({ outline: shape, lip, over, depth, edge, fillet }: Undercut): Feature => ({
  outline: shape,
  corners: [
    [0, 0, edge],
    [0, -lip, edge],
    [-over, -lip, edge],
    [-over, -depth, fillet],
  ],
  end: 'floor',
});

const SCREWS: readonly Feature[] = [
  [1, 1],
  [-1, 1],
  [-1, -1],
  [1, -1],
].map(
  ([x, y]): Feature => ({
    outline: { halfX: 2.5, halfY: 2.5, radius: 2.5, centre: [34 * x, 24 * y] },
    corners: [
      [0, 0, 0],
      [0, -HEIGHT, 0],
    ],
    end: 'through',
  }),
);

function build(refine: number): Float64Array {
  const soup = soupBuilder();
  const block = outline(BLOCK, refine);
  const bottom = ring(block, 0, -HEIGHT);
  const top = ring(block, 0, 0);
  addRings(soup, [bottom, top]);
  const pockets = [RING, LATCH].map((one) => addFeature(soup, pocket(one), refine));
  const screws = SCREWS.map((feature) => addFeature(soup, feature, refine));
  addLevelFace(
    soup,
    top,
    [...pockets, ...screws].map(({ first }) => first),
  );
  addLevelFace(
    soup,
    bottom,
    screws.map(({ last }) => last),
    'down',
  );
  return soup.corners();
}

const floor = ({ outline: shape, over, fillet }: Undercut): number => roundedArea(shape, fillet - over);
const hidden = (one: Undercut): number => floor(one) - roundedArea(one.outline, 0);
const overhang = ({ outline: shape, over }: Undercut): number =>
  roundedArea(shape, -over) - roundedArea(shape, 0);

/** Housing insert with two undercut pockets: part of each floor lies hidden under a lip. */
export const latchHousing: Model = {
  name: 'latch-housing',
  title: 'Latch housing: a ring groove and a latch pocket with overhanging lips and hidden floors',
  known: {
    blockMm: [80, 60, HEIGHT],
    draftDeg: [0],
    filletRadiiMm: [0.5, 1, 2],
    edgeRadiiMm: [0.5],
    smallestPlanRadiusMm: 2.5,
    narrowestMm: 5,
    hiddenLevelMm2: hidden(RING) + hidden(LATCH),
    overhangPlanMm2: overhang(RING) + overhang(LATCH),
    levelFaces: [
      {
        name: 'top',
        zMm: 0,
        areaMm2:
          roundedArea(BLOCK, 0) -
          [RING, LATCH].reduce((sum, one) => sum + roundedArea(one.outline, -one.edge), 0) -
          4 * Math.PI * 2.5 ** 2,
      },
      { name: 'ring groove floor, visible and hidden', zMm: -RING.depth, areaMm2: floor(RING) },
      { name: 'latch pocket floor, visible and hidden', zMm: -LATCH.depth, areaMm2: floor(LATCH) },
    ],
  },
  build,
};
