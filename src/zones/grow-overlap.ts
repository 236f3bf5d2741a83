import { CLASS_INDEX } from '../core/classes.js';
import { RAD_PER_DEG } from '../core/units.js';
import { nextCorner } from '../part/half-edge.js';
import { longestEdge, nextToBisect } from '../surface/longest-edge.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';
import { facetAngle, VERTICAL_RAD } from './classify.js';
import { wallAngle } from './cut-angles.js';

/** Facets of the band are no longer than this share of its width. */
const PIECE_SHARE = 0.35;
/** Corners of a border where the surface passes smoothly through the split have it within this, radians. */
const AT_SPLIT_RAD = 1e-3;
/** Distances that change by less, mm, have settled. */
const SETTLED_MM = 1e-6;

/**
 * Labels as overlap the steep surface within `bandMm` of the split, measured along the surface, and cuts
 * facets there.
 *
 * The distance starts at borders where the surface passes smoothly through the split: at a crease from a
 * floor to a wall there is nothing to blend. It spreads over facets as a straight front (first-order fast
 * marching), and not onto vertical walls.
 *
 * Source: Kimmel & Sethian 1998, "Computing geodesic paths on manifolds", doi:10.1073/pnas.95.15.8431.
 *
 * @param build cut at the split and labelled by `classifyByAngle` with no overlap by angle
 */
export function growOverlap(build: SurfaceBuilder, splitRad: number, bandMm: number): void {
  let distance = distances(build, splitRad, bandMm);
  while (refine(build, distance, PIECE_SHARE * bandMm, bandMm)) distance = distances(build, splitRad, bandMm);
  const known = [...distance];
  for (let f = 0; f < build.faceCount(); f++) {
    while (isSteepSide(build, f) && cutOnce(build, f, known, bandMm)) {
      /* until no edge of f crosses */
    }
  }
  const { triangles, labels } = build.arrays();
  for (let f = 0; f < build.faceCount(); f++) {
    if (!isSteepSide(build, f)) continue;
    const sum = known[triangles[3 * f]] + known[triangles[3 * f + 1]] + known[triangles[3 * f + 2]];
    if (sum < 3 * bandMm) labels[f] = CLASS_INDEX.overlap;
  }
}

/** Machinable, at or above the split, and not vertical. */
function isSteepSide(build: SurfaceBuilder, f: number): boolean {
  const { labels, normals } = build.arrays();
  return (
    (labels[f] === CLASS_INDEX.steep || labels[f] === CLASS_INDEX.overlap) &&
    facetAngle(normals, f) < 90 * RAD_PER_DEG - VERTICAL_RAD
  );
}

/** (V) way along the steep side from the split, mm; beyond the band it may be `Infinity`. */
function distances(build: SurfaceBuilder, splitRad: number, bandMm: number): Float64Array {
  const { positions, triangles, twin, normals, labels } = build.arrays();
  const distance = new Float64Array(build.vertexCount()).fill(Infinity);
  const atSplit = (h: number): boolean =>
    Math.abs(wallAngle(normals[3 * h], normals[3 * h + 1], normals[3 * h + 2]) - splitRad) < AT_SPLIT_RAD;
  const faces: number[] = [];
  for (let f = 0; f < build.faceCount(); f++) {
    if (!isSteepSide(build, f)) continue;
    faces.push(f);
    for (let k = 0; k < 3; k++) {
      const h = 3 * f + k,
        next = 3 * f + ((k + 1) % 3),
        t = twin[h];
      if (t < 0 || labels[(t / 3) | 0] >= CLASS_INDEX.overlap) continue;
      const beyond = nextCorner(t);
      if (![h, next, t, beyond].every(atSplit)) continue;
      distance[triangles[h]] = distance[triangles[next]] = 0;
    }
  }
  // Swept to and fro until nothing changes: a front crosses the list in few sweeps whatever its order.
  for (let changed = true; changed; faces.reverse()) {
    changed = false;
    for (const f of faces) {
      const first = 3 * f;
      const least = Math.min(
        distance[triangles[first]],
        distance[triangles[first + 1]],
        distance[triangles[first + 2]],
      );
      if (!(least < bandMm)) continue;
      for (let k = 0; k < 3; k++) {
        const c = triangles[first + k];
        if (distance[c] === least) continue;
        const found = arrival(
          positions,
          distance,
          triangles[first + ((k + 1) % 3)],
          triangles[first + ((k + 2) % 3)],
          c,
        );
        if (!(found < distance[c] - SETTLED_MM)) continue;
        distance[c] = found;
        changed = true;
      }
    }
  }
  return distance;
}

/** When a front that passes vertices a and b at their distances comes to c. */
function arrival(positions: Float64Array, distance: Float64Array, a: number, b: number, c: number): number {
  const ax = positions[3 * a],
    ay = positions[3 * a + 1],
    az = positions[3 * a + 2];
  const ux = positions[3 * b] - ax,
    uy = positions[3 * b + 1] - ay,
    uz = positions[3 * b + 2] - az;
  const vx = positions[3 * c] - ax,
    vy = positions[3 * c + 1] - ay,
    vz = positions[3 * c + 2] - az;
  const length = Math.sqrt(ux * ux + uy * uy + uz * uz),
    direct = Math.sqrt(vx * vx + vy * vy + vz * vz);
  const along = length > 0 ? (vx * ux + vy * uy + vz * uz) / length : 0;
  const across = Math.sqrt(Math.max(0, direct * direct - along * along));
  const byEdge = Math.min(
    distance[a] + direct,
    distance[b] + Math.sqrt((length - along) * (length - along) + across * across),
  );
  const slope = (distance[b] - distance[a]) / length;
  if (!(Math.abs(slope) < 1)) return byEdge;
  const rise = Math.sqrt(1 - slope * slope),
    foot = along - (across * slope) / rise;
  // The way back from c must leave the facet between a and b, and the front must come to c last: else facets
  // would lower each other's distances for ever.
  const through = distance[a] + slope * along + rise * across;
  const isFront = foot >= 0 && foot <= length && through >= Math.max(distance[a], distance[b]);
  return isFront ? Math.min(byEdge, through) : byEdge;
}

/** Halves long facets that the band touches; whether there were any. */
function refine(build: SurfaceBuilder, distance: Float64Array, pieceMm: number, bandMm: number): boolean {
  let refined = false;
  const faces = build.faceCount();
  for (let f = 0; f < faces; f++) {
    if (!isSteepSide(build, f)) continue;
    const { triangles } = build.arrays();
    // Vertices added in this round have no distance yet: their facets are looked at in the next.
    const near = [0, 1, 2].some((k) => distance[triangles[3 * f + k]] < bandMm);
    if (!near || longestEdge(build, f).lengthMm <= pieceMm) continue;
    build.bisect(nextToBisect(build, f), 0.5);
    refined = true;
  }
  return refined;
}

function cutOnce(build: SurfaceBuilder, f: number, known: number[], bandMm: number): boolean {
  const { triangles } = build.arrays();
  for (let k = 0; k < 3; k++) {
    const a = known[triangles[3 * f + k]],
      b = known[triangles[3 * f + ((k + 1) % 3)]];
    if (!((a - bandMm) * (b - bandMm) < 0) || !Number.isFinite(a + b)) continue;
    const s = (bandMm - a) / (b - a);
    // Nearer to an end the band ends at the corner itself.
    if (s < 1e-6 || s > 1 - 1e-6) continue;
    build.bisect(3 * f + k, s);
    known.push(bandMm);
    return true;
  }
  return false;
}
