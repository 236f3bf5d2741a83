import { soupBuilder, type Point } from '../tests/support/shapes/soup.js';
import { addFeature, addRings, type Feature } from './feature.js';
import { addLevelFace } from './level-face.js';
import type { Model } from './model.js';
import {
  facetsOf,
  outline,
  ring,
  roundedArea,
  roundedProfile,
  type OutlineSpec,
  type Station,
} from './outline.js';
import { domeHeight, filletArc, rollingBall, type Contact, type Wall } from './rolling-ball.js';

const DRAFT = 3;
const T = Math.tan((DRAFT * Math.PI) / 180);
/** Tangent length of a rounding of radius 1 between a drafted wall and a level face. */
const TANGENT = Math.tan(((90 - DRAFT) * Math.PI) / 360);
const BLOCK: OutlineSpec = { halfX: 60, halfY: 40, radius: 4 };
const HEIGHT = 40;
const MOUTH: OutlineSpec = { halfX: 46, halfY: 30, radius: 20, straightStep: 4 };
const LEDGE = { z: -6, outer: 6 * T, inner: 5.5, fillet: 2, edge: 1.5 } as const;
const LIP_EDGE = 1;
const FLOOR_FILLET = 6;
const CROWN = { z: -24 - 300, radius: 300 } as const;
const SPIGOT = { radius: 8, top: -15, fillet: 1, edge: 0.8 } as const;
const CAVITY_WALL: Wall = { side: 1, draftDeg: DRAFT, at0: MOUTH.radius - LEDGE.inner - LEDGE.z * -T };
const SPIGOT_WALL: Wall = { side: -1, draftDeg: DRAFT, at0: SPIGOT.radius + (CROWN.z + CROWN.radius) * T };
const RECESSES: readonly Feature[] = [
  [1, 1],
  [-1, 1],
  [-1, -1],
  [1, -1],
].map(
  ([x, y]): Feature => ({
    outline: { halfX: 5, halfY: 5, radius: 5, centre: [51 * x, 32 * y] },
    corners: [
      [0, 0, 0],
      [0, -7, x * y > 0 ? 3 : 1.5],
    ],
    end: 'floor',
  }),
);
const FLOOR_RINGS = 8;

function build(refine: number): Float64Array {
  const soup = soupBuilder();
  const block = outline(BLOCK, refine);
  const bottom = ring(block, 0, -HEIGHT);
  const top = ring(block, 0, 0);
  addLevelFace(soup, bottom, [], 'down');
  addRings(soup, [bottom, top]);
  const mouth = outline(MOUTH, refine);
  const upper = roundedProfile(
    [-1e3, 0],
    [
      [0, 0, LIP_EDGE],
      [LEDGE.outer, LEDGE.z, LEDGE.fillet],
      [LEDGE.inner, LEDGE.z, LEDGE.edge],
    ],
    [LEDGE.inner + 15 * T, LEDGE.z - 15],
    refine,
  ).map(([d, z]) => ring(mouth, d, z));
  const contacts = mouth.stations.map((station) => rollingBall(station, CAVITY_WALL, CROWN, FLOOR_FILLET));
  const fillet = filletRings(contacts, facetsOf(FLOOR_FILLET, (84 * Math.PI) / 180, refine));
  const foot = fillet[fillet.length - 1];
  const spigot = spigotRings(foot, refine);
  addRings(soup, [...upper, ...fillet, ...crownRings(foot, spigot[0], refine), ...spigot]);
  addLevelFace(soup, spigot[spigot.length - 1], []);
  const holes = RECESSES.map((feature) => addFeature(soup, feature, refine).first);
  addLevelFace(soup, top, [upper[0], ...holes]);
  return soup.corners();
}

/** Arcs station by station, turned into rings from wall to dome. */
function filletRings(contacts: readonly Contact[], facets: number): Point[][] {
  const arcs = contacts.map((contact) => filletArc(contact, facets));
  return Array.from({ length: facets + 1 }, (_, k) => arcs.map((arc) => arc[k]));
}

/** Rings on the crowned floor strictly between the cavity's fillet and the spigot's. */
function crownRings(outer: readonly Point[], inner: readonly Point[], refine: number): Point[][] {
  const count = FLOOR_RINGS * refine;
  return Array.from({ length: count - 1 }, (_, i) =>
    outer.map((p, s): Point => {
      const t = (i + 1) / count;
      const [x, y] = [p[0] + t * (inner[s][0] - p[0]), p[1] + t * (inner[s][1] - p[1])];
      return [x, y, domeHeight(CROWN, x, y)];
    }),
  );
}

/**
 * Drain spigot in the middle of the floor, from its foot fillet to its top edge, a point per point of
 * `outer`.
 */
function spigotRings(outer: readonly Point[], refine: number): Point[][] {
  const stations = outer.map(([x, y]): Station => {
    const reach = Math.sqrt(x * x + y * y);
    return { base: [0, 0], normal: [x / reach, y / reach] };
  });
  const facets = facetsOf(SPIGOT.fillet, (87 * Math.PI) / 180, refine);
  const foot = filletRings(
    stations.map((station) => rollingBall(station, SPIGOT_WALL, CROWN, SPIGOT.fillet)),
    facets,
  );
  const topRadius = SPIGOT_WALL.at0 - SPIGOT.top * T;
  const edge = roundedProfile(
    [-topRadius - 5 * T, SPIGOT.top - 5],
    [[-topRadius, SPIGOT.top, SPIGOT.edge]],
    [0, SPIGOT.top],
    refine,
  );
  return [...foot.reverse(), ...edge.map(([d, z]) => ring({ stations, radius: 0 }, d, z))];
}

const spigotTop = SPIGOT_WALL.at0 - SPIGOT.top * T - SPIGOT.edge * TANGENT;
/** Cavity of a soap dish: lip, ledge, crowned floor with a rolling-ball fillet, spigot core for the drain. */
export const soapDish: Model = {
  name: 'soap-dish-cavity',
  title: 'Soap-dish cavity insert: crowned floor R300, 3 degree draft, fillets 1 to 6 mm',
  known: {
    blockMm: [120, 80, 40],
    draftDeg: [0, DRAFT],
    filletRadiiMm: [1, 1.5, 2, 3, 6],
    edgeRadiiMm: [0.8, 1, 1.5],
    smallestPlanRadiusMm: 5,
    narrowestMm: 10,
    hiddenLevelMm2: 0,
    overhangPlanMm2: 0,
    levelFaces: [
      {
        name: 'parting face',
        zMm: 0,
        areaMm2: roundedArea(BLOCK, 0) - roundedArea(MOUTH, -LIP_EDGE * TANGENT) - 4 * Math.PI * 25,
      },
      {
        name: 'ledge',
        zMm: LEDGE.z,
        areaMm2:
          roundedArea(MOUTH, LEDGE.outer + LEDGE.fillet * TANGENT) -
          roundedArea(MOUTH, LEDGE.inner - LEDGE.edge * TANGENT),
      },
      { name: 'recess floors', zMm: -7, areaMm2: 2 * Math.PI * (5 - 3) ** 2 + 2 * Math.PI * (5 - 1.5) ** 2 },
      { name: 'spigot top', zMm: SPIGOT.top, areaMm2: Math.PI * spigotTop * spigotTop },
    ],
  },
  build,
};
