import { CLASS_INDEX } from '../core/classes.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';
import { connectedRegions } from '../surface/connected-regions.js';

/** A patch is a wall that noise bends when so much of its area, as a share, sees the tool beside it. */
const SEEING_SHARE = 0.9;

/**
 * Labels as steep the undercut patches that lean over by no more than the noise: nearly every facet sees the
 * tool from `strayMm` beside it.
 *
 * @param build labelled by `classifyByAngle` and `markUnderside`
 * @param topOver height of the part's highest surface over a point in plan, mm
 */
export function settleUndercuts(
  build: SurfaceBuilder,
  topOver: (x: number, y: number) => number,
  strayMm: number,
): void {
  const { positions, triangles, twin, labels } = build.arrays();
  const faces = build.faceCount();
  const undercut = new Int32Array(faces).map((_, f) => (labels[f] === CLASS_INDEX.undercut ? 0 : -1));
  const { regionOfFace, count } = connectedRegions({ twin: twin.subarray(0, 3 * faces) }, undercut);
  const seeing = new Float64Array(count),
    total = new Float64Array(count);
  for (let f = 0; f < faces; f++) {
    if (regionOfFace[f] < 0) continue;
    const [a, b, c] = [0, 1, 2].map((k) => 3 * triangles[3 * f + k]);
    const middle = (i: number): number => (positions[a + i] + positions[b + i] + positions[c + i]) / 3;
    const ux = positions[b] - positions[a],
      uy = positions[b + 1] - positions[a + 1],
      uz = positions[b + 2] - positions[a + 2];
    const vx = positions[c] - positions[a],
      vy = positions[c + 1] - positions[a + 1],
      vz = positions[c + 2] - positions[a + 2];
    const nx = uy * vz - uz * vy,
      ny = uz * vx - ux * vz,
      nz = ux * vy - uy * vx;
    const across = Math.sqrt(nx * nx + ny * ny),
      area = Math.sqrt(across * across + nz * nz);
    total[regionOfFace[f]] += area;
    if (across === 0) continue;
    const seen =
      topOver(middle(0) + (strayMm * nx) / across, middle(1) + (strayMm * ny) / across) <=
      middle(2) + strayMm;
    if (seen) seeing[regionOfFace[f]] += area;
  }
  for (let f = 0; f < faces; f++) {
    const r = regionOfFace[f];
    if (r >= 0 && seeing[r] >= SEEING_SHARE * total[r]) labels[f] = CLASS_INDEX.steep;
  }
}
