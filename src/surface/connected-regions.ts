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
  const { twin } = topology;
  const faces = labelOf.length;
  checkLengths('connectedRegions', { 'half-edges': [twin.length, 3 * faces] });
  const regionOfFace = new Int32Array(faces).fill(-1);
  const stack = new Int32Array(faces);
  let count = 0;
  for (let seed = 0; seed < faces; seed++) {
    const label = labelOf[seed];
    if (label < 0 || regionOfFace[seed] >= 0) continue;
    let top = 0;
    stack[top++] = seed;
    regionOfFace[seed] = count;
    while (top > 0) {
      const f = stack[--top];
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        if (twin[h] < 0) continue;
        const g = (twin[h] / 3) | 0;
        if (regionOfFace[g] >= 0 || labelOf[g] !== label) continue;
        regionOfFace[g] = count;
        stack[top++] = g;
      }
    }
    count++;
  }
  return {
    /** (F) region of each face, numbered in the order of its first face; -1 where the label is negative */
    regionOfFace: perFace(regionOfFace),
    count,
  };
}

/**
 * Patches of some faces that hang together across edges; nothing but those faces is looked at.
 *
 * @returns (F) patch of each face, numbered in the order of its first face; -1: not among them
 */
export function connectedAmong({ twin }: Topology, faces: Uint32Array) {
  const AMONG = -2;
  const regionOfFace = new Int32Array(twin.length / 3).fill(-1);
  for (const f of faces) regionOfFace[f] = AMONG;
  const stack = new Uint32Array(faces.length);
  let count = 0;
  for (const seed of faces) {
    if (regionOfFace[seed] !== AMONG) continue;
    let top = 0;
    stack[top++] = seed;
    regionOfFace[seed] = count;
    while (top > 0) {
      const f = stack[--top];
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const g = twin[h] < 0 ? -1 : (twin[h] / 3) | 0;
        if (g < 0 || regionOfFace[g] !== AMONG) continue;
        regionOfFace[g] = count;
        stack[top++] = g;
      }
    }
    count++;
  }
  return { regionOfFace: perFace(regionOfFace), count };
}
