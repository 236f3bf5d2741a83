import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { DeepReadonly } from '../core/deep-readonly.js';
import { RAD_PER_DEG } from '../core/units.js';
import { cumulateByAngle } from '../time/angle-table.js';
import { ON_BORDER_RAD } from '../zones/cut-angles.js';

/** Steps per degree of the tables: splits may be moved by a tenth of a degree. */
export const STEPS_PER_DEG = 10;
const LAST_DEG = 91;

/** Machinable area by wall angle. Entry i of both is for i / `STEPS_PER_DEG` degrees. */
export type AngleAreas = DeepReadonly<ReturnType<typeof angleAreas>>;

/**
 * Tables of the machinable area by wall angle, for any split a reader may try.
 *
 * @param areas (F) mm²
 * @param labels (F) class of each facet
 * @param cornerAngles (3 F) wall angles at the corners, rad
 */
export function angleAreas(areas: Float64Array, labels: Uint8Array, cornerAngles: Float64Array) {
  const steps = Array.from(
    { length: LAST_DEG * STEPS_PER_DEG + 1 },
    (_, i) => (i / STEPS_PER_DEG) * RAD_PER_DEG,
  );
  const { minutesTo } = cumulateByAngle({
    mask: labels.map((label) => (label < MACHINABLE_CLASSES ? 1 : 0)),
    minutes: areas,
    gradients: new Float64Array(areas.length).fill(1),
    cornerAngles,
    borders: steps.flatMap((angle) => [angle - ON_BORDER_RAD, angle + ON_BORDER_RAD]),
  });
  return {
    /** mm² of a wall angle below the entry's */
    below: steps.map((_, i) => minutesTo[2 * i]),
    /** mm² of a wall angle up to the entry's, itself included */
    upTo: steps.map((_, i) => minutesTo[2 * i + 1]),
  };
}
