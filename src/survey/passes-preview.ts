import type { Plan } from '../plan/plan.js';
import { passMask } from '../time/finishing-surface.js';
import { passSlices, type SliceOptions, type Slices } from '../time/slices.js';
import { previewSvg } from '../write/preview-svg.js';
import type { ReachAnalysis } from './analyse-reach.js';

/** About so many passes of each kind are drawn: more would be a black sheet. */
const DRAWN = 120;

/**
 * The passes themselves, cut from the part, in plan: every so many, from half a spacing above the lowest on.
 */
export function passesPreview(
  plan: Pick<Plan, 'passes' | 'mesh' | 'source'>,
  { surface, labels }: Pick<ReachAnalysis, 'surface' | 'labels'>,
): string {
  const { waterline, raster } = plan.passes;
  const cut = (
    strategy: SliceOptions['strategy'],
    spacingMm: number,
  ): { readonly every: number; readonly slices: Slices } => {
    const mask = passMask(labels, strategy.kind);
    const every = Math.max(
      1,
      Math.ceil(extentMm(surface.mesh.positions, surface.mesh.triangles, mask, strategy) / spacingMm / DRAWN),
    );
    const step = every * spacingMm;
    return {
      every,
      slices: passSlices(surface.mesh, surface.topology, {
        strategy,
        spacingMm: step,
        offsetMm: step / 2,
        mask,
      }),
    };
  };
  const { min, max } = plan.mesh.boundsMm;
  return previewSvg({
    title: `${plan.source.name}: passes, preview`,
    boundsMm: { min: [min[0], min[1]], max: [max[0], max[1]] },
    passes: [
      { id: 'waterline', ...cut({ kind: 'waterline' }, waterline.spacingMm) },
      {
        id: 'raster',
        ...cut({ kind: 'raster', feedRad: (raster.directionDeg * Math.PI) / 180 }, raster.spacingMm),
      },
    ],
  });
}

/** How far the facets of a mask extend across the passes, mm. */
function extentMm(
  positions: Float64Array,
  triangles: Uint32Array,
  mask: Uint8Array,
  strategy: SliceOptions['strategy'],
): number {
  const raster = strategy.kind === 'raster';
  const dx = raster ? -Math.sin(strategy.feedRad) : 0,
    dy = raster ? Math.cos(strategy.feedRad) : 0,
    dz = raster ? 0 : 1;
  let low = Infinity,
    high = -Infinity;
  for (let h = 0; h < triangles.length; h++) {
    if (!mask[(h / 3) | 0]) continue;
    const v = 3 * triangles[h];
    const at = dx * positions[v] + dy * positions[v + 1] + dz * positions[v + 2];
    low = Math.min(low, at);
    high = Math.max(high, at);
  }
  return Math.max(0, high - low);
}
