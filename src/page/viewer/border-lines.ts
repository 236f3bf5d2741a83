import { RAD_PER_DEG } from '../../core/units.js';
import { CLASSES, MACHINABLE_CLASSES } from '../../core/classes.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import type { ViewData } from '../../write/view-data.js';

/** Borders whose wall angle is this near to a split the part was surveyed with follow the slider instead. */
const SAME_ANGLE = 0.002;

/** x, y, z of some vertices. */
export const placesOf = ({ positions }: ViewData, vertices: Uint32Array): Float32Array =>
  Float32Array.from(
    { length: 3 * vertices.length },
    (_, i) => positions[3 * vertices[(i / 3) | 0] + (i % 3)],
  );

/**
 * Ends of border lines for any split: where the wall angle of the machinable surface crosses the split and
 * its end, facet by facet, and those borders that do not depend on it.
 *
 * @returns (6 N) x, y, z
 */
export function liveBorders(
  view: ViewData,
  facts: SceneFacts,
  splitDeg: number,
  endDeg: number,
): Float32Array {
  const out: number[] = [];
  for (const deg of endDeg > splitDeg ? [splitDeg, endDeg] : [splitDeg])
    crossAngle(view, machinable(facts), deg * RAD_PER_DEG, out);
  const { positions, normals, borders } = view;
  const surveyed = [facts.split.angleDeg, facts.split.angleDeg + facts.split.overlapDeg].map((deg) =>
    Math.cos(deg * RAD_PER_DEG),
  );
  const depends = (v: number): boolean =>
    surveyed.some((nz) => Math.abs(normals[3 * v + 2] - nz) < SAME_ANGLE);
  for (let i = 0; i < borders.length; i += 2) {
    const a = borders[i],
      b = borders[i + 1];
    if (depends(a) && depends(b)) continue;
    for (const v of [a, b]) out.push(positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]);
  }
  return Float32Array.from(out);
}

/** 1 for the regions a finishing cutter is meant to cut. */
const machinable = ({ classOfRegion }: SceneFacts): Uint8Array =>
  Uint8Array.from(classOfRegion, (name) => (CLASSES.indexOf(name) < MACHINABLE_CLASSES ? 1 : 0));

function crossAngle(view: ViewData, isCut: Uint8Array, angle: number, out: number[]): void {
  const { positions, normals, triangles, regions } = view;
  const cosine = Math.cos(angle);
  for (let f = 0; f < triangles.length; f += 3) {
    const a = triangles[f],
      b = triangles[f + 1],
      c = triangles[f + 2];
    const za = normals[3 * a + 2] - cosine,
      zb = normals[3 * b + 2] - cosine,
      zc = normals[3 * c + 2] - cosine;
    if (za > 0 === zb > 0 && zb > 0 === zc > 0) continue;
    if (regions[a] < 0 || isCut[regions[a]] === 0) continue;
    if (za > 0 !== zb > 0) pushCrossing(positions, a, b, za / (za - zb), out);
    if (zb > 0 !== zc > 0) pushCrossing(positions, b, c, zb / (zb - zc), out);
    if (zc > 0 !== za > 0) pushCrossing(positions, c, a, zc / (zc - za), out);
  }
}

function pushCrossing(positions: Float64Array, a: number, b: number, share: number, out: number[]): void {
  for (let k = 0; k < 3; k++)
    out.push(positions[3 * a + k] + share * (positions[3 * b + k] - positions[3 * a + k]));
}
