import { CLASS_INDEX } from '../core/classes.js';
import { RAD_PER_DEG } from '../core/units.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';
import { ON_BORDER_RAD, wallAngle } from './cut-angles.js';

/** Level ground ends here: floors that a flat end mill finishes. */
export const LEVEL_RAD = 0.5 * RAD_PER_DEG;
/** Walls count as vertical within this much; beyond 90 degrees plus this they are undercut. */
export const VERTICAL_RAD = 0.5 * RAD_PER_DEG;

/** Where the classes divide, radians. */
export interface ClassBorders {
  /** shallow below, overlap from here */
  readonly splitRad: number;
  /** overlap up to here, steep beyond */
  readonly splitEndRad: number;
}

/**
 * All wall angles at which a surface is to be cut for these borders, radians, ascending, none twice.
 *
 * @param others at which it is to be cut as well
 */
export function borderAngles(borders: ClassBorders, others: readonly number[] = []): number[] {
  const quarter = 90 * RAD_PER_DEG;
  const all = [
    LEVEL_RAD,
    borders.splitRad,
    borders.splitEndRad,
    quarter - VERTICAL_RAD,
    quarter + VERTICAL_RAD,
    2 * quarter - VERTICAL_RAD,
    ...others,
  ].sort((a, b) => a - b);
  return all.filter((angle, i) => i === 0 || angle > all[i - 1] + ON_BORDER_RAD);
}

/**
 * Labels each facet with its class by wall angle alone: level, shallow, overlap, steep or undercut. The
 * surface must have been cut at `borderAngles`; a facet that lies on a border belongs to the class that
 * includes it.
 */
export function classifyByAngle(build: SurfaceBuilder, borders: ClassBorders): void {
  const { normals, labels } = build.arrays();
  for (let f = 0; f < build.faceCount(); f++) {
    labels[f] = classOfAngle(facetAngle(normals, f), borders);
  }
}

/**
 * Wall angle of a facet that lies between two borders: the angle of its mean corner normal. All its corners
 * are on one side, so any inner point would do.
 */
export function facetAngle(normals: Float64Array, f: number): number {
  const i = 9 * f;
  return wallAngle(
    normals[i] + normals[i + 3] + normals[i + 6],
    normals[i + 1] + normals[i + 4] + normals[i + 7],
    normals[i + 2] + normals[i + 5] + normals[i + 8],
  );
}

/** Index in `CLASSES` by wall angle alone. */
export function classOfAngle(angle: number, borders: ClassBorders): number {
  if (angle <= LEVEL_RAD + ON_BORDER_RAD) return CLASS_INDEX.level;
  if (angle < borders.splitRad - ON_BORDER_RAD) return CLASS_INDEX.shallow;
  if (angle <= borders.splitEndRad + ON_BORDER_RAD) return CLASS_INDEX.overlap;
  if (angle <= 90 * RAD_PER_DEG + VERTICAL_RAD + ON_BORDER_RAD) return CLASS_INDEX.steep;
  return CLASS_INDEX.undercut;
}
