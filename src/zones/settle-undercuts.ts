import { CLASS_INDEX } from '../core/classes.js';
import { doubleArea, facetCentre } from '../part/facet-geometry.js';
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
    total = new Float64Array(count),
    n = new Float64Array(3);
  for (let f = 0; f < faces; f++) {
    if (regionOfFace[f] < 0) continue;
    doubleArea({ positions, triangles }, f, n);
    const across = Math.sqrt(n[0] * n[0] + n[1] * n[1]),
      area = Math.sqrt(across * across + n[2] * n[2]);
    total[regionOfFace[f]] += area;
    if (across === 0) continue;
    const [x, y, z] = facetCentre({ positions, triangles }, f);
    const seen = topOver(x + (strayMm * n[0]) / across, y + (strayMm * n[1]) / across) <= z + strayMm;
    if (seen) seeing[regionOfFace[f]] += area;
  }
  for (let f = 0; f < faces; f++) {
    const r = regionOfFace[f];
    if (r >= 0 && seeing[r] >= SEEING_SHARE * total[r]) labels[f] = CLASS_INDEX.steep;
  }
}
