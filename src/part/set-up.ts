import { boundsOf, longestSide } from '../core/bounds.js';
import { significant } from '../core/figures.js';
import type { Finding } from '../core/findings.js';
import { LIKELY_MM, likelyUnits } from '../core/likely-units.js';
import { MM_PER_UNIT, UNIT_WORDS, type FileUnit } from '../core/units.js';
import type { Soup } from '../core/soup.js';

export interface PlaceOptions {
  /** direction in the file that becomes +Z; any length but 0 */
  readonly axis: readonly [number, number, number];
  /** whether the lowest point comes to Z = 0 */
  readonly stand: boolean;
}

export interface Placed {
  /** (3 N) mm */
  readonly points: Float64Array;
  /** 4 x 4, column by column: from the file's mm to the set-up's mm */
  readonly matrix: readonly number[];
}

/**
 * Turns a part so that its tool axis points up, and stands it on Z = 0. X and Y are not moved.
 *
 * The rotation is proper. An axis of z >= 0 is tilted straight to +Z; one below the horizon is first turned
 * by half a turn about X. So the six main axes give matrices of 0 and +-1 only, and coordinates stay exact.
 *
 * @param points (3 N) mm, corners or vertices
 * @throws {RangeError} if the axis has no direction
 */
export function placePart(points: Float64Array, options: PlaceOptions): Placed {
  const [a, b, c, d, e, f, g, h, i] = rotationToZ(options.axis);
  const out = new Float64Array(points.length);
  let lowest = Infinity;
  for (let p = 0; p < points.length; p += 3) {
    const x = points[p],
      y = points[p + 1],
      z = points[p + 2];
    const up = g * x + h * y + i * z;
    out[p] = a * x + b * y + c * z;
    out[p + 1] = d * x + e * y + f * z;
    out[p + 2] = up;
    if (up < lowest) lowest = up;
  }
  const lift = options.stand && points.length > 0 ? 0 - lowest : 0;
  if (lift !== 0) for (let p = 2; p < out.length; p += 3) out[p] += lift;
  return { points: out, matrix: [a, d, g, 0, b, e, h, 0, c, f, i, 0, 0, 0, lift, 1] };
}

/** Rows of the rotation that takes the direction to +Z. */
function rotationToZ(axis: readonly [number, number, number]): readonly number[] {
  const length = Math.sqrt(axis[0] * axis[0] + axis[1] * axis[1] + axis[2] * axis[2]);
  if (!(length > 0 && length < Infinity)) throw new RangeError(`placePart: axis ${axis} has no direction`);
  const half = axis[2] < 0 ? -1 : 1;
  const x = axis[0] / length,
    y = (half * axis[1]) / length,
    z = (half * axis[2]) / length;
  const shared = 1 / (1 + z);
  const rows = [1 - x * x * shared, -x * y * shared, -x, -x * y * shared, 1 - y * y * shared, -y, x, y, z];
  // `+ 0` turns -0 into 0, so that the matrix is the same text everywhere.
  return rows.map((entry, k) => (k % 3 === 0 ? entry : half * entry) + 0);
}

/**
 * Largest extents, mm, of parts that are finish-milled: outside, another unit is likelier. Common practice,
 * no source.
 */
const PLAUSIBLE_MM = { least: 3, most: 3000 } as const;
/**
 * A doubt about the unit if the part is too small or too large to be milled. Nothing is rescaled.
 *
 * @param points (3 N) mm
 * @param unit unit that the file was read in
 */
export function unitFindings(points: Float64Array, unit: FileUnit): Finding[] {
  const extent = longestSide(boundsOf(points));
  if (!(extent > 0) || (extent >= PLAUSIBLE_MM.least && extent <= PLAUSIBLE_MM.most)) return [];
  const inFile = extent / MM_PER_UNIT[unit];
  const likely = likelyUnits(inFile).filter((other) => other !== unit);
  const named = likely.map(
    (other) => `${UNIT_WORDS[other]} (unit ${other}: ${short(inFile * MM_PER_UNIT[other])} mm)`,
  );
  const asMicrometres = inFile * MM_PER_UNIT.um;
  if (asMicrometres >= PLAUSIBLE_MM.least && asMicrometres <= LIKELY_MM.most)
    named.push(`micrometres (${short(asMicrometres)} mm; export it in mm)`);
  const guess = named.length > 0 ? `the file may be in ${named.join(' or ')}` : 'check the unit of the file';
  return [
    {
      code: 'unit.implausible',
      severity: 'warning',
      count: 1,
      whereMm: null,
      message: `read in ${UNIT_WORDS[unit]} the part is ${short(extent)} mm long, unlikely for a milled part; ${guess}`,
    },
  ];
}

const short = (value: number): number => significant(value, 4);

/** Coordinates coarser than this blur the wall angle of small facets, mm. */
const COARSE_MM = 0.001;

/**
 * A doubt about the precision of a part far from the origin, if its coordinates were stored as float32, whose
 * steps grow with the distance (IEEE 754 binary32: 2^-23 of the leading power of two).
 */
export function coordinateFindings({ corners, source }: Soup): Finding[] {
  const mmPerUnit = MM_PER_UNIT[source.unit];
  let largest = 0;
  for (let i = 0; i < corners.length; i++) if (Math.abs(corners[i]) > largest) largest = Math.abs(corners[i]);
  const stepMm = mmPerUnit * 2 ** (Math.floor(Math.log2(largest / mmPerUnit)) - 23);
  if (source.format !== 'stl-binary' || !(stepMm > COARSE_MM)) return [];
  return [
    {
      code: 'mesh.coarse-coordinates',
      severity: 'warning',
      count: 1,
      whereMm: null,
      message:
        `the part lies ${short(largest)} mm from the origin of its file, where stored coordinates step by ` +
        `${short(stepMm)} mm; small facets are distorted. Export it near the origin`,
    },
  ];
}
