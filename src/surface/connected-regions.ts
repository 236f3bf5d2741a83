import { checkLengths } from '../core/check-lengths.js';
import { perFace } from '../core/array-types.js';
import type { Topology } from '../part/types.js';

/**
 * Patches of faces that share a label and hang together across edges; a shared vertex alone does not join
 * them.
 *
 * @param labelOf (F) any integer per face; negative: in no region
 * @throws {RangeError} if the lengths do not agree
 */
export function connectedRegions(topology: Topology, labelOf: ArrayLike<number>) {
  const faces = labelOf.length;
  checkLengths('connectedRegions', { 'half-edges': [topology.twin.length, 3 * faces] });
  const regionOfFace = Int32Array.from({ length: faces }, (_, f) => (labelOf[f] < 0 ? NONE : OPEN));
  const count = flood(topology, null, regionOfFace, labelOf);
  return {
    /** (F) region of each face, numbered in the order of its first face; -1 where the label is negative */
    regionOfFace: perFace(regionOfFace),
    count,
  };
}

/**
 * Patches of some faces that hang together across edges; nothing but those faces is looked at, so that few of very many
 * cost little.
 *
 * @returns (F) patch of each face, numbered in the order of its first face; -1: not among them; it holds until the next
 *   question about the same topology
 */
export function connectedAmong(topology: Topology, faces: Uint32Array) {
  const last = lastAmong.get(topology);
  const regionOfFace = last?.regionOfFace ?? new Int32Array(topology.twin.length / 3).fill(NONE);
  for (const f of last?.faces ?? []) regionOfFace[f] = NONE;
  lastAmong.set(topology, { faces, regionOfFace });
  for (const f of faces) regionOfFace[f] = OPEN;
  return { count: flood(topology, faces, regionOfFace, null), regionOfFace: perFace(regionOfFace) };
}

const lastAmong = new WeakMap<Topology, { readonly faces: Uint32Array; readonly regionOfFace: Int32Array }>();

/** Of a face that is in no region, and of one that none was given yet. */
const NONE = -1,
  OPEN = -2;

/**
 * Numbers the regions of open faces.
 *
 * @param faces the open ones, in order; null: those among all
 * @param labelOf (F) faces join only where theirs are the same; null: all do
 * @returns how many there are
 */
function flood(
  { twin }: Topology,
  faces: Uint32Array | null,
  regionOfFace: Int32Array,
  labelOf: ArrayLike<number> | null,
): number {
  const among = faces?.length ?? regionOfFace.length;
  const stack = new Uint32Array(among);
  let count = 0;
  for (let i = 0; i < among; i++) {
    const seed = faces ? faces[i] : i;
    if (regionOfFace[seed] !== OPEN) continue;
    let top = 0;
    stack[top++] = seed;
    regionOfFace[seed] = count;
    while (top > 0) {
      const f = stack[--top];
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const g = twin[h] < 0 ? -1 : (twin[h] / 3) | 0;
        if (g < 0 || regionOfFace[g] !== OPEN || (labelOf && labelOf[g] !== labelOf[seed])) continue;
        regionOfFace[g] = count;
        stack[top++] = g;
      }
    }
    count++;
  }
  return count;
}
