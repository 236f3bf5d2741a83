import { RAD_PER_DEG } from '../../src/core/units.js';
import * as shapes from './shapes.js';

const { PI, cos, sin, tan, sqrt } = Math;

/** A test solid, and its exact measures as a polyhedron, mm. */
export interface Expected {
  readonly corners: Float64Array;
  readonly volume: number;
  readonly area: number;
}

/** Exact measures of a polyhedron swept round the axis in n steps by an open or closed (r, z) polyline. */
function swept(profile: readonly (readonly [number, number])[], n: number): { volume: number; area: number } {
  let volume = 0;
  let area = 0;
  for (let i = 0; i + 1 < profile.length; i++) {
    const [[r, z], [s, w]] = [profile[i], profile[i + 1]];
    // Frustum of a pyramid over a regular n-gon: prismatoid formula; lateral faces are trapezoids.
    volume += (n / 2) * sin((2 * PI) / n) * ((r * r + r * s + s * s) / 3) * (w - z);
    area += n * sin(PI / n) * (r + s) * sqrt(((s - r) * cos(PI / n)) ** 2 + (w - z) ** 2);
  }
  return { volume, area };
}

/** A square block with a round feature: the block's own faces, and the swept profile set into its top. */
function onPlate(
  side: number,
  thickness: number,
  profile: readonly (readonly [number, number])[],
  n: number,
): { volume: number; area: number } {
  const hole = (r: number): number => (n / 2) * sin((2 * PI) / n) * r * r;
  const feature = swept(profile, n);
  const last = profile[profile.length - 1];
  const top = profile[0];
  return {
    volume: side * side * thickness + feature.volume,
    area: 2 * side * side + 4 * side * thickness + feature.area - hole(top[0]) - hole(last[0]),
  };
}

const arcPoints = (
  cx: number,
  cz: number,
  r: number,
  from: number,
  to: number,
  m: number,
): [number, number][] =>
  Array.from({ length: m + 1 }, (_, k) => {
    const t = (from + ((to - from) * k) / m) * RAD_PER_DEG;
    return [cx + r * cos(t), cz + r * sin(t)];
  });

/** Area between an arc of m chords and its two tangents' meeting point, and length of the chords. */
const chords = (
  r: number,
  turning: number,
  m: number,
): { section: number; length: number; tangent: number } => ({
  section: r * r * tan(turning / 2) - (m / 2) * r * r * sin(turning / m),
  length: 2 * m * r * sin(turning / (2 * m)),
  tangent: r * tan(turning / 2),
});

function valleySolid(
  make: typeof shapes.vGroove,
  turningDeg: number,
  fillet: number,
  facets: number,
): Expected {
  const [arm, length, turning] = [40, 100, turningDeg * RAD_PER_DEG];
  const corners = make({ turningDeg, arm, length, fillet, filletFacets: facets });
  const round = fillet > 0 ? chords(fillet, turning, facets) : { section: 0, length: 0, tangent: 0 };
  const walls = 2 * (arm - round.tangent) + round.length;
  if (make === shapes.vGroove) {
    const [half, deep] = [arm * cos(turning / 2), arm * sin(turning / 2)];
    const section = 2 * (half + 10) * (deep + 10) - half * deep + round.section;
    return {
      corners,
      volume: section * length,
      area: 2 * section + length * (walls + 20 + 2 * (half + 10) + 2 * (deep + 10)),
    };
  }
  const [reach, rise] = [arm * cos(turning), arm * sin(turning)];
  const section = 10 * (arm + reach + 10) + ((10 + 10 + reach) / 2) * rise + round.section;
  const outline = walls + 10 + (10 + rise) + (arm + reach + 10) + 10;
  return { corners, volume: section * length, area: 2 * section + length * outline };
}

/** Every shape at one set of measures, worked out by hand here and not by the shape's own code. */
export const SOLIDS: Record<string, () => Expected> = {
  box: () => ({ corners: shapes.box(3, 5, 7), volume: 105, area: 2 * (15 + 21 + 35) }),
  ...Object.fromEntries(
    shapes.RAMP_ANGLES_DEG.map((degrees) => [
      `ramp of ${degrees} degrees`,
      () => {
        const rise = 30 * tan(degrees * RAD_PER_DEG);
        const section = 30 * 5 + 15 * rise;
        return {
          corners: shapes.rampBlock(degrees),
          volume: 20 * section,
          area: 2 * section + 20 * (30 + 5 + 5 + rise + sqrt(900 + rise * rise)),
        };
      },
    ]),
  ),
  multiRamp: () => {
    const { slope, gap, depth, plate } = shapes.RAMP;
    const angles = shapes.RAMP_ANGLES_DEG.map((degrees) => degrees * RAD_PER_DEG);
    const width = gap + angles.reduce((sum, a) => sum + slope * cos(a) + gap, 0);
    const section = width * plate + angles.reduce((sum, a) => sum + (slope * slope * cos(a) * sin(a)) / 2, 0);
    const outline = width + 2 * plate + gap * 7 + angles.reduce((sum, a) => sum + slope + slope * sin(a), 0);
    return { corners: shapes.multiRamp(), volume: section * depth, area: 2 * section + outline * depth };
  },
  'sharp V-groove': () => valleySolid(shapes.vGroove, 60, 0, 1),
  'V-groove with fillet': () => valleySolid(shapes.vGroove, 120, 2, 7),
  'sharp dihedral': () => valleySolid(shapes.dihedral, 90, 0, 1),
  'dihedral with fillet': () => valleySolid(shapes.dihedral, 60, 3, 12),
  throughSlot: () => ({
    corners: shapes.throughSlot(4, 6, 50),
    volume: 50 * (24 * 16 - 24),
    area: 2 * (24 * 16 - 24) + 50 * (24 + 32 + 20 + 4 + 12),
  }),
  channel: () => {
    const [r, m] = [2, 24];
    const section = 24 * 12 - (m / 2) * r * r * sin(PI / m);
    return {
      corners: shapes.channel(r, 30, m),
      volume: 30 * section,
      area: 2 * section + 30 * (24 + 24 + 20 + 2 * m * r * sin(PI / (2 * m))),
    };
  },
  halfCylinderOnPlate: () => {
    const [r, m] = [8, 64];
    const section = 36 * 5 + (m / 2) * r * r * sin(PI / m);
    return {
      corners: shapes.halfCylinderOnPlate(r, 30, m),
      volume: 30 * section,
      area: 2 * section + 30 * (36 + 10 + 20 + 2 * m * r * sin(PI / (2 * m))),
    };
  },
  lyingCylinder: () => {
    const [r, m] = [10, 48];
    const section = (m / 2) * r * r * sin((2 * PI) / m);
    return {
      corners: shapes.lyingCylinder(r, 50, m),
      volume: 50 * section,
      area: 2 * section + 50 * 2 * m * r * sin(PI / m),
    };
  },
  tSlot: () => {
    const section = 40 * 22 - 6 * 5 - 20 * 7;
    return {
      corners: shapes.tSlot({ neck: 6, lip: 5, width: 20, depth: 12, length: 40 }),
      volume: 40 * section,
      area: 2 * section + 40 * (40 + 44 + 34 + 10 + 14 + 14 + 20),
    };
  },
  boxPocket: () => ({
    corners: shapes.boxPocket({ width: 30, length: 20, depth: 10 }),
    volume: 60 * 50 * 20 - 6000,
    area: 2 * 3000 + 2 * 110 * 20 + 2 * 50 * 10,
  }),
  'boxPocket with tilted floor': () => {
    const rise = 15 * tan(10 * RAD_PER_DEG);
    const height = 20 + rise;
    return {
      corners: shapes.boxPocket({ width: 30, length: 20, depth: 10, tiltDeg: 10 }),
      volume: 3000 * height - 6000,
      area: 2 * 3000 + 220 * height + 2 * 50 * 10 + 600 / cos(10 * RAD_PER_DEG) - 600,
    };
  },
  'orthogonal corner': () => ({
    corners: shapes.threePlaneCorner(),
    volume: 60 ** 3 - 40 ** 3,
    area: 6 * 3600,
  }),
  'drafted corner': () => {
    // The cut is a frustum of a pyramid between squares of 40 and s; its two outer sides are trapezoids.
    const lean = 40 * tan(3 * RAD_PER_DEG);
    const s = 40 + lean;
    const side = (40 * (40 + s)) / 2;
    return {
      corners: shapes.threePlaneCorner(3),
      volume: 60 ** 3 - (40 / 3) * (1600 + 40 * s + s * s),
      area: 6 * 3600 - s * s - 2 * side + 1600 + (2 * side) / cos(3 * RAD_PER_DEG),
    };
  },
  hemisphere: () => ({
    corners: shapes.hemisphere(20, 64, 16),
    ...swept([[0, 0], ...arcPoints(0, 0, 20, 0, 90, 16)], 64),
  }),
  domeOnPlate: () => ({
    corners: shapes.domeOnPlate(20, 60, 64, 16),
    ...onPlate(60, 10, arcPoints(0, 0, 20, 0, 90, 16), 64),
  }),
  cone: () => ({
    corners: shapes.frustum(15, 0, 15 * tan(PI / 3), 96),
    ...swept(
      [
        [0, 0],
        [15, 0],
        [0, 15 * tan(PI / 3)],
      ],
      96,
    ),
  }),
  frustum: () => ({
    corners: shapes.frustum(20, 15, 10, 96),
    ...swept(
      [
        [0, 0],
        [20, 0],
        [15, 10],
        [0, 10],
      ],
      96,
    ),
  }),
  frustumOnPlate: () => ({
    corners: shapes.frustumOnPlate({ baseRadius: 20, topRadius: 15, height: 10, side: 70, segments: 45 }),
    ...onPlate(
      70,
      10,
      [
        [20, 0],
        [15, 10],
        [0, 10],
      ],
      45,
    ),
  }),
  roundPocket: () => ({
    corners: shapes.roundPocket({ segments: 48, filletFacets: 6 }),
    ...onPlate(60, 25, [[20, 15], ...arcPoints(17, 3, 3, 0, -90, 6), [0, 0]], 48),
  }),
  filletedBoss: () => ({
    corners: shapes.filletedBoss({ segments: 50, filletFacets: 6 }),
    ...onPlate(60, 10, [...arcPoints(17, 3, 3, -90, -180, 6), [14, 15], [0, 15]], 50),
  }),
  'blind bore': () => ({
    corners: shapes.bore(5, 12, 31),
    ...onPlate(
      40,
      22,
      [
        [5, 0],
        [5, -12],
        [0, -12],
      ],
      31,
    ),
  }),
  'through bore': () => ({
    corners: shapes.bore(5, 12, 32, true),
    ...onPlate(
      40,
      12,
      [
        [5, 0],
        [5, -12],
      ],
      32,
    ),
  }),
  sphericalPocket: () => ({
    corners: shapes.sphericalPocket(8, 64, 16),
    ...onPlate(46, 18, arcPoints(0, 0, 8, 0, -90, 16), 64),
  }),
  'pocket with round corners and drafted wall': () => {
    // The wall leans in by `lean` all round, so that each of its strips is a trapezoid.
    const [f, lean, depth] = [9, 0.6, 1];
    const ring = (o: number) => ({ halfX: 15 - o, halfY: 25 - o, radius: 10 - o });
    const corners = shapes.pocketPlate({
      tileX: 50,
      tileY: 70,
      bottomZ: -8,
      tiles: [
        [
          {
            facets: f,
            rings: [
              { ...ring(0), z: 0 },
              { ...ring(lean), z: -depth },
            ],
          },
        ],
      ],
    });
    const inside = (o: number): number => {
      const { halfX, halfY, radius: r } = ring(o);
      return 4 * halfX * halfY - 4 * r * r + 2 * f * r * r * sin(PI / 2 / f);
    };
    const round =
      4 * f * 2 * (10 - lean / 2) * sin(PI / 4 / f) * sqrt((lean * cos(PI / 4 / f)) ** 2 + depth ** 2);
    const straight = (2 * 10 + 2 * 30) * sqrt(lean ** 2 + depth ** 2);
    return {
      corners,
      volume: 3500 * 8 - (depth / 6) * (inside(0) + 4 * inside(lean / 2) + inside(lean)),
      area: 2 * 3500 + 240 * 8 - inside(0) + inside(lean) + round + straight,
    };
  },
  'four tiles: round, with round ends, sharp, right through': () => {
    const [f, r] = [6, 4];
    const upright = (halfX: number, halfY: number, radius: number, depth: number) => ({
      facets: f,
      rings: [0, -depth].map((z) => ({ halfX, halfY, radius, z })),
    });
    const corners = shapes.pocketPlate({
      tileX: 30,
      tileY: 36,
      bottomZ: -12,
      tiles: [
        [{ ...upright(r, r, r, 5), at: [1, -2], turnDeg: 7 }, upright(r, 9, r, 5)],
        [
          { ...upright(3, 8, 0, 5), turnDeg: -20 },
          { ...upright(r, r, r, 12), through: true, turnDeg: 25 },
        ],
      ],
    });
    const disc = 2 * f * r * r * sin(PI / 2 / f);
    const round = 4 * f * 2 * r * sin(PI / 4 / f);
    return {
      corners,
      volume: 60 * 72 * 12 - 5 * disc - 5 * (disc + 8 * 10) - 5 * 6 * 16 - 12 * disc,
      area: 2 * 60 * 72 + 264 * 12 - 2 * disc + 5 * round + 5 * (round + 20) + 5 * 44 + 12 * round,
    };
  },
  groove: () => {
    const [r, half, m] = [20, 20 * RAD_PER_DEG, 70];
    const chord = 2 * r * sin(half / m);
    const section = 60 * 20 - (m / 2) * r * r * sin((2 * half) / m) + r * r * sin(half) * cos(half);
    return {
      corners: shapes.groove(20, 20, 0.2),
      volume: 60 * section,
      area: 2 * section + 60 * (60 + 20 + 20 + 60 - 2 * r * sin(half) + m * chord),
    };
  },
  // Regular icosahedron of edge a: V = 5 (3 + sqrt 5) a^3 / 12, A = 5 sqrt 3 a^2, circumradius a sqrt(10 +
  // 2 sqrt 5) / 4 (Euclid, Elements XIII.16).
  icosahedron: () => {
    const a = 40 / sqrt(10 + 2 * sqrt(5));
    return {
      corners: shapes.icosphere(10, 0),
      volume: (5 * (3 + sqrt(5)) * a ** 3) / 12,
      area: 5 * sqrt(3) * a * a,
    };
  },
};
