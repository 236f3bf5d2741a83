import { longestSide, type Bounds } from '../core/bounds.js';
import { PartError } from '../core/errors.js';
import { LEAST_MM } from '../core/limits.js';

/**
 * A part may be so many tolerances long. Facets follow the true surface to a tenth of the tolerance, and coordinates of
 * single precision have no more than 2^24 steps.
 */
const MOST_TOLERANCES = 1e6;

/**
 * Refuses, before any work is done, a part out of proportion to what is asked of it.
 *
 * @throws {PartError} `part.too-large`, `part.too-small`, `part.no-plan`
 */
export function checkProportion(boundsMm: Bounds, toleranceMm: number, where: string): void {
  const longest = longestSide(boundsMm);
  const refuse = (code: string, what: string, remedy: string): never => {
    throw new PartError({ code: `part.${code}`, where, what, remedy });
  };
  if (longest > MOST_TOLERANCES * toleranceMm) {
    refuse(
      'too-large',
      `${short(longest)} mm long, at most ${MOST_TOLERANCES} times the tolerance of ${toleranceMm} mm can be surveyed`,
      'check the unit of the file (--unit), or give a tolerance in proportion (--tolerance)',
    );
  }
  if (longest <= toleranceMm) {
    refuse(
      'too-small',
      `${short(longest)} mm long, no more than the tolerance of ${toleranceMm} mm`,
      'check the unit of the file (--unit), or give a tolerance in proportion (--tolerance)',
    );
  }
  const [width, depth] = [0, 1].map((axis) => boundsMm.max[axis] - boundsMm.min[axis]);
  if (Math.min(width, depth) < LEAST_MM) {
    const what = `${short(width)} by ${short(depth)} mm in plan: nothing of it faces the cutter`;
    refuse('no-plan', what, 'choose another tool axis (--axis)');
  }
}

const short = (mm: number): string => String(Number(mm.toPrecision(4)));
