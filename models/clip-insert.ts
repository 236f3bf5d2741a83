import { soupBuilder, type Point, type Point2 } from '../tests/support/shapes/soup.js';
import { addFeature, drafted, type Feature } from './feature.js';
import { addLevelFace } from './level-face.js';
import type { LevelFace, Model } from './model.js';
import { roundedArea, roundedProfile } from './outline.js';

const tan = (degrees: number): number => Math.tan((degrees * Math.PI) / 180);
const tangent = (draftDeg: number): number => tan((90 - draftDeg) / 2);
const BLOCK = { halfX: 35, halfY: 22, bottom: -30 } as const;
const STEP = { x: 7, z: -6, draftDeg: 2, edge: 0.5, fillet: 1.5 } as const;

interface Cut {
  readonly name: string;
  readonly feature: Feature;
  readonly draftDeg: number;
  /** height of the face it is cut into or stands on, and of its own floor or top */
  readonly z: number;
  readonly floorZ: number;
  /** rounding at the floor or top, and at the face */
  readonly fillet: number;
  readonly edge: number;
}

function cut(
  name: string,
  outline: Feature['outline'],
  size: { z: number; depth: number; draftDeg: number; edge?: number; fillet: number },
): Cut {
  const { z, depth, draftDeg, edge = 0, fillet } = size;
  return {
    name,
    draftDeg,
    z,
    floorZ: z - depth,
    fillet,
    edge,
    feature: { outline, corners: drafted(size), end: 'floor' },
  };
}

/** [width, depth, centre x, corner radius in plan, floor fillet] */
const SLOTS: readonly (readonly [number, number, number, number, number])[] = [
  [4, 12, -29, 1, 0.5],
  [3, 10, -21.5, 0.8, 0.4],
  [2.5, 8, -15, 0.8, 0.4],
  [2, 6.5, -9, 0.7, 0.3],
  [1.6, 5, -3.5, 0.6, 0.3],
  [1.2, 4, 1.5, 0.5, 0.25],
];
/** [width at the foot, centre y] */
const RIBS: readonly (readonly [number, number])[] = [
  [1.5, 16.5],
  [1.2, 13.4],
  [1, 10.4],
];

const UPPER: readonly Cut[] = [
  ...SLOTS.map(([width, depth, x, radius, fillet]) =>
    cut(
      `floor of the ${width} mm slot`,
      { halfX: width / 2, halfY: 14 + width / 2, radius, centre: [x, 0] },
      { z: 0, depth, draftDeg: 0.5, fillet },
    ),
  ),
  ...[1, -1].map((y) =>
    cut(
      'dowel hole',
      { halfX: 2, halfY: 2, radius: 2, centre: [-12, 18.8 * y] },
      { z: 0, depth: 7, draftDeg: 0, fillet: 0 },
    ),
  ),
];
const LOWER: readonly Cut[] = [
  ...RIBS.map(([width, y]) =>
    cut(
      `top of the ${width} mm rib`,
      { halfX: 9, halfY: width / 2, radius: width / 2, centre: [22, y] },
      { z: STEP.z, depth: -5, draftDeg: 1, edge: 0.5, fillet: 0.15 },
    ),
  ),
  cut(
    'window',
    { halfX: 6, halfY: 4, radius: 1.2, centre: [22, 0] },
    { z: STEP.z, depth: 5.5, draftDeg: 1, fillet: 0.5 },
  ),
  cut(
    'hook pocket',
    { halfX: 8, halfY: 3.5, radius: 1, centre: [22, -14], turnDeg: 12 },
    { z: STEP.z, depth: 7.5, draftDeg: 1, fillet: 0.6 },
  ),
];

/** The step between the two levels, (x, z), from the upper one down. */
const stepProfile = (refine: number): Point2[] =>
  roundedProfile(
    [-1e3, 0],
    [
      [STEP.x, 0, STEP.edge],
      [STEP.x - STEP.z * tan(STEP.draftDeg), STEP.z, STEP.fillet],
    ],
    [1e3, STEP.z],
    refine,
  );

function build(refine: number): Float64Array {
  const soup = soupBuilder();
  const { halfX, halfY, bottom } = BLOCK;
  const step = stepProfile(refine);
  const section: Point2[] = [[-halfX, 0], ...step, [halfX, STEP.z], [halfX, bottom], [-halfX, bottom]];
  const front = section.map(([x, z]): Point => [x, -halfY, z]);
  const back = section.map(([x, z]): Point => [x, halfY, z]);
  // The section runs clockwise seen from the front.
  soup.polygon([...front].reverse());
  soup.polygon(back);
  const last = section.length - 1;
  for (let i = 0; i <= last; i++) {
    const next = (i + 1) % section.length;
    const loop = [front[i], front[next], back[next], back[i]];
    if (i === 0)
      addLevelFace(
        soup,
        loop,
        UPPER.map(({ feature }) => addFeature(soup, feature, refine).first),
      );
    else if (i === step.length)
      addLevelFace(
        soup,
        loop,
        LOWER.map(({ feature }) => addFeature(soup, feature, refine).first),
      );
    else soup.polygon(loop);
  }
  return soup.corners();
}

function floorArea({ feature, draftDeg, z, floorZ, fillet }: Cut): number {
  return roundedArea(feature.outline, Math.abs(z - floorZ) * tan(draftDeg) + fillet * tangent(draftDeg));
}

const mouthArea = ({ feature, draftDeg, edge }: Cut): number =>
  roundedArea(feature.outline, -edge * tangent(draftDeg));

/** Faces at one height are one entry, since a measurement cannot tell them apart. */
function levelFaces(): LevelFace[] {
  const edgeX = STEP.x - STEP.edge * tangent(STEP.draftDeg);
  const footX = STEP.x - STEP.z * tan(STEP.draftDeg) + STEP.fillet * tangent(STEP.draftDeg);
  const land = (from: number, to: number, cuts: readonly Cut[]): number =>
    2 * BLOCK.halfY * (to - from) - cuts.reduce((sum, one) => sum + mouthArea(one), 0);
  const faces: LevelFace[] = [
    { name: 'upper level', zMm: 0, areaMm2: land(-BLOCK.halfX, edgeX, UPPER) },
    { name: 'lower level', zMm: STEP.z, areaMm2: land(footX, BLOCK.halfX, LOWER) },
  ];
  const heights = new Map<number, LevelFace>();
  for (const one of [...UPPER, ...LOWER]) {
    const known = heights.get(one.floorZ);
    const name = known && known.name !== one.name ? `${known.name}, ${one.name}` : one.name;
    heights.set(one.floorZ, { name, zMm: one.floorZ, areaMm2: (known?.areaMm2 ?? 0) + floorArea(one) });
  }
  return [...faces, ...heights.values()];
}

/** Insert for a spring clip: a comb of narrow slots above a step, thin ribs and two pockets below it. */
export const clipInsert: Model = {
  name: 'clip-insert',
  title: 'Clip insert: slots 1.2 to 4 mm wide and up to 12 mm deep, thin ribs, a 6 mm step',
  known: {
    blockMm: [70, 44, 30],
    draftDeg: [0, 0.5, 1, 2],
    filletRadiiMm: [0, 0.25, 0.3, 0.4, 0.5, 0.6, 1.5],
    edgeRadiiMm: [0.15, 0.5],
    smallestPlanRadiusMm: 0.5,
    narrowestMm: 1.2,
    hiddenLevelMm2: 0,
    overhangPlanMm2: 0,
    levelFaces: levelFaces(),
  },
  build,
};
