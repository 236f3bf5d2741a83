import { doubleArea } from '../part/facet-geometry.js';
import type { PreparedMesh } from '../part/prepare.js';
import { crossingAbove } from '../part/shell-nesting.js';
import type { SolidProbes } from '../zones/mark-buried.js';
import { facetSearch } from './facet-search.js';
import type { PartTree } from './part-tree.js';

/**
 * Probes of the shells that bound solids.
 *
 * @param partTree of the facets of the mesh; asked for where there are such shells
 * @returns null if none does, or there is no other shell. Holds scratch: one per thread.
 */
export function solidProbes(
  partTree: () => PartTree,
  { shellOf, isSolid }: Pick<PreparedMesh, 'shellOf' | 'isSolid'>,
): SolidProbes | null {
  if (isSolid.length < 2 || !isSolid.includes(1)) return null;
  const tree = partTree();
  return {
    shellOf,
    isSolid,
    windingAt: windingAt(tree, shellOf, isSolid),
    mayMeet: mayMeet(tree, shellOf, isSolid),
  };
}

function windingAt(tree: PartTree, shellOf: Int32Array, isSolid: Uint8Array): SolidProbes['windingAt'] {
  const { boxes, corners, facetOf, centre } = tree;
  const some = facetSearch(tree);
  return (point, below) => {
    const [x, y, z] = point.map((mm, k) => mm - centre[k]);
    let winding = 0;
    some(
      (node) =>
        boxes[node] <= x &&
        boxes[node + 3] >= x &&
        boxes[node + 1] <= y &&
        boxes[node + 4] >= y &&
        boxes[node + 5] > z,
      (t) => {
        const shell = shellOf[facetOf[t]];
        if (shell < below && isSolid[shell] === 1)
          winding += crossingAbove(corners, 9 * t, 9 * t + 3, 9 * t + 6, x, y, z);
        return false;
      },
    );
    return winding;
  };
}

function mayMeet(tree: PartTree, shellOf: Int32Array, isSolid: Uint8Array): SolidProbes['mayMeet'] {
  const { boxes, corners, planes, facetOf, centre } = tree;
  const some = facetSearch(tree);
  const at = new Float64Array(9),
    min = new Float64Array(3),
    max = new Float64Array(3),
    plane = new Float64Array(4);
  const asked = { positions: at, triangles: Uint32Array.of(0, 1, 2) };
  const meetsBox = (node: number): boolean =>
    boxes[node] <= max[0] &&
    boxes[node + 1] <= max[1] &&
    boxes[node + 2] <= max[2] &&
    boxes[node + 3] >= min[0] &&
    boxes[node + 4] >= min[1] &&
    boxes[node + 5] >= min[2];
  return (triangle, own, below, nearMm) => {
    min.fill(Infinity);
    max.fill(-Infinity);
    for (let i = 0; i < 9; i++) {
      at[i] = triangle[i] - centre[i % 3];
      min[i % 3] = Math.min(min[i % 3], at[i]);
      max[i % 3] = Math.max(max[i % 3], at[i]);
    }
    for (let k = 0; k < 3; k++) {
      min[k] -= nearMm;
      max[k] += nearMm;
    }
    const length = doubleArea(asked, 0, plane) || 1;
    for (let k = 0; k < 3; k++) plane[k] /= length;
    plane[3] = plane[0] * at[0] + plane[1] * at[1] + plane[2] * at[2];
    return some(meetsBox, (t) => {
      const shell = shellOf[facetOf[t]];
      if (shell === own || shell >= below || isSolid[shell] === 0) return false;
      return !isBeside(planes, 4 * t, at, 0, nearMm) && !isBeside(plane, 0, corners, 9 * t, nearMm);
    });
  };
}

/**
 * Whether all corners of a triangle from o on lie on one side of a plane, by more than this; from i on its unit normal,
 * and the distance along it.
 */
function isBeside(
  planes: ArrayLike<number>,
  i: number,
  p: ArrayLike<number>,
  o: number,
  nearMm: number,
): boolean {
  const x = planes[i],
    y = planes[i + 1],
    z = planes[i + 2],
    along = planes[i + 3];
  const a = x * p[o] + y * p[o + 1] + z * p[o + 2] - along,
    b = x * p[o + 3] + y * p[o + 4] + z * p[o + 5] - along,
    c = x * p[o + 6] + y * p[o + 7] + z * p[o + 8] - along;
  return Math.min(a, b, c) > nearMm || Math.max(a, b, c) < -nearMm;
}
