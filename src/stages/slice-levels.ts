import { NOTHING_MM } from './stock-field.js';

/** Level ground on less than this share of the nodes is no reason for a slice of its own. */
const LEVEL_SHARE = 0.002;

/** Where slices lie. */
export interface Slices {
  /** heights of the tip, from the highest down; none where nothing can be cut */
  readonly levels: readonly number[];
  /** where the highest begins, mm */
  readonly topMm: number;
}

/**
 * Heights of a rougher's slices: one at all level ground that its tip comes down to, and between two of those equal
 * steps of at most `stepMm`.
 *
 * @param tips (nodes) lowest heights of the tip, mm
 * @param stock (nodes) highest stock under the cutter, mm
 * @param isGround whether the tip stands on level ground over a node
 */
export function sliceLevels(
  tips: Float32Array,
  stock: Float32Array,
  isGround: (node: number) => boolean,
  stepMm: number,
): Slices {
  /** highest tip of each hundredth of a millimetre, and how many there are */
  const grounds = new Map<number, { z: number; count: number }>();
  let total = 0,
    deepest = Infinity,
    topMm = -Infinity;
  tips.forEach((tip, node) => {
    if (!(stock[node] > tip + NOTHING_MM)) return;
    total++;
    topMm = Math.max(topMm, stock[node]);
    deepest = Math.min(deepest, tip);
    if (!isGround(node)) return;
    const key = Math.round(tip / NOTHING_MM),
      own = grounds.get(key) ?? { z: tip, count: 0 };
    grounds.set(key, { z: Math.max(own.z, tip), count: own.count + 1 });
  });
  if (total === 0) return { levels: [], topMm };
  const found = [...grounds.values()]
    .filter(({ z, count }) => count >= LEVEL_SHARE * total && z < topMm)
    .map(({ z }) => z)
    .sort((a, b) => b - a);
  const levels: number[] = [];
  let above = topMm;
  for (const z of [...found, deepest]) {
    // One ground on either side of a rounding border; what is left on its lower part is nothing.
    if (levels.length > 0 && above - z <= 2 * NOTHING_MM) continue;
    const count = Math.max(1, Math.ceil((above - z) / stepMm - 1e-6));
    for (let i = 1; i <= count; i++) levels.push(above + ((z - above) * i) / count);
    above = z;
  }
  return { levels, topMm };
}

/** Heights in single precision that differ by less are equal, mm. */
const ROUNDING_MM = 1e-4;

/** Tips raised to the next of some levels, which come from the highest down; Infinity above all of them. */
export function raisedToLevels(tips: Float32Array, levels: readonly number[]): Float32Array {
  return tips.map((tip) => {
    // Levels from `low` on lie below the tip.
    let low = 0,
      high = levels.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (levels[middle] >= tip - ROUNDING_MM) low = middle + 1;
      else high = middle;
    }
    return low === 0 ? Infinity : levels[low - 1];
  });
}
