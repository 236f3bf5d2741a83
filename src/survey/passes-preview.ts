import { mapTo } from '../core/map-to.js';
import type { Plan } from '../plan/plan.js';
import { passMask } from '../time/finishing-surface.js';
import { passExtents } from '../time/pass-pieces.js';
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
    const regionOf = mapTo(new Int32Array(mask.length), mask, (isIn) => isIn - 1);
    const [extentMm] = passExtents({ ...surface, regionOf, count: 1 }, strategy).across;
    const every = Math.max(1, Math.ceil(extentMm / spacingMm / DRAWN));
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
