import { soupBuilder, type Point2 } from '../tests/support/shapes/soup.js';
import { addFeature, addRings, drafted, type Feature } from './feature.js';
import { addLevelFace } from './level-face.js';
import type { Model } from './model.js';
import { facetsOf, outline, ring, roundedArea, roundedProfile, type OutlineSpec } from './outline.js';
import { filletArc, rollingBall, type Contact, type Wall } from './rolling-ball.js';

const tan = (degrees: number): number => Math.tan((degrees * Math.PI) / 180);
const PLATE: OutlineSpec = { halfX: 60, halfY: 60, radius: 4 };
const THICKNESS = 18;
/** Radius from which the profile's insets are counted. */
const FROM = 50;
const GROOVE = { outer: 48, inner: 43, depth: 3.5, draftDeg: 5, fillet: 1 } as const;
const FLANK: Wall = { side: -1, draftDeg: 2, at0: 34 };
const FOOT_FILLET = 5;
const DOME = { z: 3, radius: 45 } as const;
const SHOULDER = 8;
const EYE = { rim: 47.5, radius: 6, draftDeg: 10, bottom: 41.5, edge: 1, fillet: 2.5 } as const;
const EYE_WALL: Wall = { side: 1, draftDeg: EYE.draftDeg, at0: EYE.radius - EYE.rim * tan(EYE.draftDeg) };
const SCREW = { counterbore: 5.5, bore: 3.3, depth: 6.5, fillet: 0.5 } as const;
const SCREWS: readonly Feature[] = [
  [1, 1],
  [-1, 1],
  [-1, -1],
  [1, -1],
].map(
  ([x, y]): Feature => ({
    outline: {
      halfX: SCREW.counterbore,
      halfY: SCREW.counterbore,
      radius: SCREW.counterbore,
      centre: [48 * x, 48 * y],
    },
    corners: [
      [0, 0, 0],
      [0, -SCREW.depth, SCREW.fillet],
      [SCREW.counterbore - SCREW.bore, -SCREW.depth, 0],
      [SCREW.counterbore - SCREW.bore, -THICKNESS, 0],
    ],
    end: 'through',
  }),
);
const KEY = { height: 5, draftDeg: 5, edge: 0.8, fillet: 1.5 } as const;
const KEYS: readonly Feature[] = [1, -1].map(
  (x): Feature => ({
    outline: { halfX: 3, halfY: 12, radius: 3, centre: [54 * x, 0] },
    corners: drafted({
      z: 0,
      depth: -KEY.height,
      draftDeg: KEY.draftDeg,
      edge: KEY.fillet,
      fillet: KEY.edge,
    }),
    end: 'floor',
  }),
);

/** The half-plane in which the meridian lies. */
const SECTION = { base: [0, 0], normal: [1, 0] } as const;

/** Meridian of groove, core and eye, (inset, z), from the plate inwards. */
function meridian(refine: number): Point2[] {
  const lean = GROOVE.depth * tan(GROOVE.draftDeg);
  const plate = roundedProfile(
    [-1e3, 0],
    [
      [FROM - GROOVE.outer, 0, 0],
      [FROM - GROOVE.outer + lean, -GROOVE.depth, GROOVE.fillet],
      [FROM - GROOVE.inner - lean, -GROOVE.depth, GROOVE.fillet],
      [FROM - GROOVE.inner, 0, 0],
      [FROM - FLANK.at0, 0, FOOT_FILLET],
    ],
    [FROM - FLANK.at0 + 30 * tan(FLANK.draftDeg), 30],
    refine,
  );
  const shoulder = rollingBall(SECTION, FLANK, DOME, -SHOULDER);
  const rim = rollingBall(SECTION, EYE_WALL, DOME, -EYE.edge);
  const eyeBottom = FROM - EYE_WALL.at0 - EYE.bottom * tan(EYE.draftDeg);
  const eye = roundedProfile(
    inset(rim.onWall),
    [[eyeBottom, EYE.bottom, EYE.fillet]],
    [FROM, EYE.bottom],
    refine,
  );
  return [
    ...plate,
    ...arcOf(shoulder, SHOULDER, refine),
    ...domeArc(shoulder.onDome, rim.onDome, refine),
    ...arcOf(rim, EYE.edge, refine).reverse(),
    ...eye,
  ];
}

const inset = (p: readonly number[]): Point2 => [FROM - p[0], p[2]];

/** A rounding's arc with as many facets as its own turn asks for. */
function arcOf(contact: Contact, radius: number, refine: number): Point2[] {
  const [p, c, q] = [contact.onWall, contact.centre, contact.onDome];
  const turn = Math.atan2(p[2] - c[2], p[0] - c[0]) - Math.atan2(q[2] - c[2], q[0] - c[0]);
  return filletArc(contact, facetsOf(radius, turn, refine)).map(inset);
}

/** Points on the dome strictly between two places on it. */
function domeArc(from: readonly number[], to: readonly number[], refine: number): Point2[] {
  const [first, last] = [from, to].map((p) => Math.atan2(p[0], p[2] - DOME.z));
  const facets = facetsOf(DOME.radius, first - last, refine);
  return Array.from({ length: facets - 1 }, (_, i): Point2 => {
    const angle = first + ((last - first) * (i + 1)) / facets;
    return [FROM - DOME.radius * Math.sin(angle), DOME.z + DOME.radius * Math.cos(angle)];
  });
}

function build(refine: number): Float64Array {
  const soup = soupBuilder();
  const plate = outline(PLATE, refine);
  const bottom = ring(plate, 0, -THICKNESS);
  const top = ring(plate, 0, 0);
  addRings(soup, [bottom, top]);
  const round = outline({ halfX: FROM, halfY: FROM, radius: FROM }, refine);
  const core = meridian(refine).map(([d, z]) => ring(round, d, z));
  addRings(soup, core);
  addLevelFace(soup, core[core.length - 1], []);
  const screws = SCREWS.map((feature) => addFeature(soup, feature, refine));
  const keys = KEYS.map((feature) => addFeature(soup, feature, refine));
  addLevelFace(soup, top, [core[0], ...screws.map(({ first }) => first), ...keys.map(({ first }) => first)]);
  addLevelFace(
    soup,
    bottom,
    screws.map(({ last }) => last),
    'down',
  );
  return soup.corners();
}

/** Tangent length of a rounding of radius 1 between a level face and a wall of the given draft. */
const tangent = (draftDeg: number): number => tan((90 - draftDeg) / 2);
const disc = (radius: number): number => Math.PI * radius * radius;
const lean = GROOVE.depth * tan(GROOVE.draftDeg) + GROOVE.fillet * tangent(GROOVE.draftDeg);
/** Highest place: the crest of the rounded rim of the eye. */
const crest = rollingBall(SECTION, EYE_WALL, DOME, -EYE.edge).centre[2] + EYE.edge;
const keyOutline = KEYS[0].outline;

/**
 * Core of a bell-shaped cover on its plate, with a sealing groove, two keys and four counterbored screw
 * holes.
 */
export const bellCover: Model = {
  name: 'bell-cover-core',
  title: 'Bell-cover core: dome R45 on a 2 degree flank, standing on a plate with a sealing groove',
  known: {
    blockMm: [120, 120, THICKNESS + crest],
    draftDeg: [0, 2, 5, 10],
    filletRadiiMm: [0.5, 1, 1.5, 2.5, 5],
    edgeRadiiMm: [0.8, 1, 8],
    smallestPlanRadiusMm: SCREW.bore,
    narrowestMm: GROOVE.outer - GROOVE.inner,
    hiddenLevelMm2: 0,
    overhangPlanMm2: 0,
    levelFaces: [
      {
        name: 'plate',
        zMm: 0,
        areaMm2:
          roundedArea(PLATE, 0) -
          disc(GROOVE.outer) -
          4 * disc(SCREW.counterbore) -
          2 * roundedArea(keyOutline, -KEY.fillet * tangent(KEY.draftDeg)) +
          disc(GROOVE.inner) -
          disc(FLANK.at0 + FOOT_FILLET * tangent(FLANK.draftDeg)),
      },
      {
        name: 'groove floor',
        zMm: -GROOVE.depth,
        areaMm2: disc(GROOVE.outer - lean) - disc(GROOVE.inner + lean),
      },
      {
        name: 'key tops',
        zMm: KEY.height,
        areaMm2:
          2 * roundedArea(keyOutline, KEY.height * tan(KEY.draftDeg) + KEY.edge * tangent(KEY.draftDeg)),
      },
      {
        name: 'eye floor',
        zMm: EYE.bottom,
        areaMm2: disc(EYE_WALL.at0 + EYE.bottom * tan(EYE.draftDeg) - EYE.fillet * tangent(EYE.draftDeg)),
      },
      {
        name: 'counterbore seats',
        zMm: -SCREW.depth,
        areaMm2: 4 * (disc(SCREW.counterbore - SCREW.fillet) - disc(SCREW.bore)),
      },
    ],
  },
  build,
};
