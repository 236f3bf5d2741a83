import { boundsOf } from '../core/bounds.js';
import { CLASS_INDEX } from '../core/classes.js';
import { RAD_PER_DEG } from '../core/units.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';
import { facetAngle, VERTICAL_RAD } from './classify.js';

/** Facets this close to the lowest point, mm, lie on the lowest level. */
const LOWEST_MM = 0.01;
/** How far from a wall its free side is looked for, mm. */
const BESIDE_MM = 0.05;

/**
 * Labels as underside the facets that face straight down on the part's lowest level.
 *
 * @param strayMm how far points of the lowest level may lie above the part's lowest one, beyond rounding, mm
 */
export function markUnderside(build: SurfaceBuilder, strayMm: number): void {
  const { positions, triangles, normals, labels } = build.arrays();
  const lowest = boundsOf(positions.subarray(0, 3 * build.vertexCount())).min[2];
  for (let f = 0; f < build.faceCount(); f++) {
    if (labels[f] !== CLASS_INDEX.undercut || facetAngle(normals, f) < 180 * RAD_PER_DEG - VERTICAL_RAD)
      continue;
    const height = boundsOf(positions, triangles.subarray(3 * f, 3 * f + 3)).max[2];
    if (height <= lowest + LOWEST_MM + strayMm) labels[f] = CLASS_INDEX.underside;
  }
}

/**
 * Labels as outside the vertical facets that lie on the outer plan silhouette: the sides of the block.
 *
 * @param build labelled by `classifyByAngle`
 * @param isOpen whether a point in plan lies outside the part's outer silhouette: nothing of the part above
 *   or below it, nor in a through hole
 */
export function markOutside(build: SurfaceBuilder, isOpen: (x: number, y: number) => boolean): void {
  const { positions, triangles, normals, labels } = build.arrays();
  const right = 90 * RAD_PER_DEG;
  for (let f = 0; f < build.faceCount(); f++) {
    if (labels[f] !== CLASS_INDEX.steep || Math.abs(facetAngle(normals, f) - right) > VERTICAL_RAD + 1e-5)
      continue;
    let x = 0,
      y = 0;
    for (let k = 0; k < 3; k++) {
      x += positions[3 * triangles[3 * f + k]] / 3;
      y += positions[3 * triangles[3 * f + k] + 1] / 3;
    }
    const i = 9 * f;
    const nx = normals[i] + normals[i + 3] + normals[i + 6],
      ny = normals[i + 1] + normals[i + 4] + normals[i + 7];
    const beside = BESIDE_MM / Math.sqrt(nx * nx + ny * ny);
    if (isOpen(x + beside * nx, y + beside * ny)) labels[f] = CLASS_INDEX.outside;
  }
}
