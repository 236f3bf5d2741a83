import { RAD_PER_DEG } from '../../../src/core/units.js';
import type { Point2 } from './soup.js';
import { arc, extrude } from './sweeps.js';

/** Box from the origin to (width, depth, height), 12 triangles. */
export function box(width: number, depth: number, height: number): Float64Array {
  return extrude(
    [
      [0, 0],
      [width, 0],
      [width, height],
      [0, height],
    ],
    0,
    depth,
  );
}

/**
 * Block whose whole top is one plane of the given wall angle, rising towards -x; vertical sides, front
 * height `foot`.
 */
export function rampBlock(angleDeg: number, run = 30, depth = 20, foot = 5): Float64Array {
  const rise = run * Math.tan(angleDeg * RAD_PER_DEG);
  return extrude(
    [
      [0, 0],
      [run, 0],
      [run, foot],
      [0, foot + rise],
    ],
    0,
    depth,
  );
}

/** The ramps of `multiRamp`, degrees. */
export const RAMP_ANGLES_DEG = [10, 20, 36.5, 37.9, 52, 70] as const;
/** Length of every ramp along its slope, gap before and after it, and depth of the block, mm. */
export const RAMP = { slope: 20, gap: 8, depth: 15, plate: 6 } as const;

/**
 * Ramps of equal slope length standing apart on one plate, each with a vertical back; each ramp has the area
 * `RAMP.slope * RAMP.depth`, whatever its angle. The level floor between them has length `RAMP.gap` each.
 */
export function multiRamp(anglesDeg: readonly number[] = RAMP_ANGLES_DEG): Float64Array {
  const top: Point2[] = [[0, RAMP.plate]];
  let x = RAMP.gap;
  for (const degrees of anglesDeg) {
    const run = RAMP.slope * Math.cos(degrees * RAD_PER_DEG);
    top.push(
      [x, RAMP.plate],
      [x, RAMP.plate + RAMP.slope * Math.sin(degrees * RAD_PER_DEG)],
      [x + run, RAMP.plate],
    );
    x += run + RAMP.gap;
  }
  return extrude([[0, 0], [x, 0], [x, RAMP.plate], ...top.reverse()], 0, RAMP.depth);
}

/** Two planes that meet in a valley. */
export interface ValleySpec {
  /** angle between the two outward normals (turning angle), degrees */
  readonly turningDeg: number;
  /** length of each face from the sharp corner, in section, mm */
  readonly arm: number;
  /** length of the valley, mm */
  readonly length: number;
  /** fillet radius in the corner, mm; 0 or absent: sharp */
  readonly fillet?: number;
  /** facets of that fillet */
  readonly filletFacets?: number;
}

/**
 * The valley's section: along the face whose normal is at `firstDeg` from +z (away from the valley), then
 * up the other.
 */
function valley(spec: ValleySpec, firstDeg: number): Point2[] {
  const { turningDeg, arm, fillet = 0, filletFacets = 6 } = spec;
  const [first, turning] = [firstDeg * RAD_PER_DEG, turningDeg * RAD_PER_DEG];
  const along = (angle: number, s: number): Point2 => [s * Math.cos(angle), s * Math.sin(angle)];
  const start = along(-first, arm);
  const end = along(Math.PI - first - turning, arm);
  if (fillet === 0) return [start, [0, 0], end];
  const tangent = fillet * Math.tan(turning / 2);
  if (!(tangent < arm)) throw new RangeError(`valley: fillet ${fillet} does not fit on an arm of ${arm}`);
  const foot = along(-first, tangent);
  const up = Math.PI / 2 - first;
  const centre: Point2 = [foot[0] + fillet * Math.cos(up), foot[1] + fillet * Math.sin(up)];
  return [start, ...arc(centre, fillet, up + Math.PI, up + Math.PI - turning, filletFacets), end];
}

/**
 * Block with a symmetric V-groove along y: two walls of wall angle turningDeg / 2 and the length `arm`
 * each, flat land of 10 mm either side, bottom of the V at the origin. Turn it about z with `turned`.
 */
export function vGroove(spec: ValleySpec): Float64Array {
  // The first face lies on +x and rises away from the valley: its normal leans towards -x.
  const section = valley(spec, -spec.turningDeg / 2);
  const [right, top] = section[0];
  const side = right + 10;
  const bottom = -10;
  return extrude(
    [[-side, bottom], [side, bottom], [side, top], ...section, [-side, top]],
    -spec.length / 2,
    spec.length / 2,
  );
}

/**
 * Level floor (normal +z, on +x from the origin) and one wall of wall angle `turningDeg` at most 90, along
 * y; the wall's top is level and 10 mm wide.
 *
 * @throws RangeError for an overhanging wall
 */
export function dihedral(spec: ValleySpec): Float64Array {
  if (!(spec.turningDeg > 0 && spec.turningDeg <= 90))
    throw new RangeError(`dihedral: turning ${spec.turningDeg} degrees`);
  const section = valley(spec, 0);
  const [left, top] = section[section.length - 1];
  const bottom = -10;
  return extrude(
    [[left - 10, bottom], [spec.arm, bottom], ...section, [left - 10, top]],
    -spec.length / 2,
    spec.length / 2,
  );
}

/**
 * Block with a slot of square section right through along y, open at both ends; land of 10 mm either side,
 * top at z = 0.
 */
export function throughSlot(width: number, depth: number, length: number): Float64Array {
  const half = width / 2;
  const side = half + 10;
  return extrude(
    [
      [-side, -depth - 10],
      [side, -depth - 10],
      [side, 0],
      [half, 0],
      [half, -depth],
      [-half, -depth],
      [-half, 0],
      [-side, 0],
    ],
    -length / 2,
    length / 2,
  );
}

/**
 * Block with a half-round channel of the given radius along y, its axis in the level top at z = 0; land of
 * 10 mm.
 */
export function channel(radius: number, length: number, facets: number): Float64Array {
  const side = radius + 10;
  return extrude(
    [[-side, -side], [side, -side], [side, 0], ...arc([0, 0], radius, 0, -Math.PI, facets), [-side, 0]],
    -length / 2,
    length / 2,
  );
}

/**
 * Block 60 x 60 x 20, top at z = 0, with a round groove along y: an arc of `radius` from -`halfAngleDeg` to
 * `halfAngleDeg` about its lowest line, in strips about `stripMm` wide.
 */
export function groove(radius: number, halfAngleDeg: number, stripMm: number): Float64Array {
  const half = halfAngleDeg * RAD_PER_DEG;
  const facets = Math.ceil((2 * half * radius) / stripMm - 1e-9);
  const inside = arc([0, radius * Math.cos(half)], radius, half - Math.PI / 2, -half - Math.PI / 2, facets);
  // The rims lie in the top exactly.
  inside[0] = [radius * Math.sin(half), 0];
  inside[facets] = [-radius * Math.sin(half), 0];
  return extrude([[-30, -20], [30, -20], [30, 0], ...inside, [-30, 0]], -30, 30);
}

/**
 * Half-cylinder lying along y on a plate whose top is z = 0, plate 10 mm wider either side, as long as the
 * cylinder.
 */
export function halfCylinderOnPlate(radius: number, length: number, facets: number): Float64Array {
  const side = radius + 10;
  return extrude(
    [[-side, -5], [side, -5], [side, 0], ...arc([0, 0], radius, 0, Math.PI, facets), [-side, 0]],
    -length / 2,
    length / 2,
  );
}

/** Whole cylinder lying along y, axis through the origin. */
export function lyingCylinder(radius: number, length: number, facets: number): Float64Array {
  return extrude(arc([0, 0], radius, 0, 2 * Math.PI, facets).slice(0, -1), -length / 2, length / 2);
}

/** Measures of a T-slot, mm: `neck` wide down to `lip`, then `width` wide down to `depth`, along y. */
export interface TSlotSpec {
  readonly neck: number;
  readonly lip: number;
  readonly width: number;
  readonly depth: number;
  readonly length: number;
}

/** Block with a T-slot along y, top at z = 0: its floor beyond the neck is hidden under overhanging lips. */
export function tSlot({ neck, lip, width, depth, length }: TSlotSpec): Float64Array {
  const [n, w] = [neck / 2, width / 2];
  const side = w + 10;
  const bottom = -depth - 10;
  return extrude(
    [
      [-side, bottom],
      [side, bottom],
      [side, 0],
      [n, 0],
      [n, -lip],
      [w, -lip],
      [w, -depth],
      [-w, -depth],
      [-w, -lip],
      [-n, -lip],
      [-n, 0],
      [-side, 0],
    ],
    -length / 2,
    length / 2,
  );
}
