import { mapTo } from '../core/map-to.js';
import type { Plan } from '../plan/plan.js';
import { passMask } from '../time/finishing-surface.js';
import { passExtents } from '../time/pass-pieces.js';
import { passSlices, type SliceOptions, type Slices } from '../time/slices.js';
import { previewSvg } from '../write/preview-svg.js';
import type { ReachAnalysis } from './analyse-reach.js';
import type { PassOutlines } from './pass-outlines.js';
import type { FinishingPasses, LaidPass } from './finishing-passes.js';

/** About so many passes of each kind are drawn: more would be a black sheet. */
const DRAWN = 120;

/**
 * The passes themselves, cut from the part, in plan: every so many, from half a step above the lowest on, each piece in
 * its own steps; of patches at constant spacing the outlines.
 */
export function passesPreview(
  plan: Pick<Plan, 'passes' | 'mesh' | 'source'>,
  { surface, labels }: Pick<ReachAnalysis, 'surface' | 'labels'>,
  laid: FinishingPasses['laid'],
  { constant }: Pick<PassOutlines, 'constant'>,
): string {
  const { waterline, raster } = plan.passes;
  const cut = (
    strategy: SliceOptions['strategy'],
    leastMm: number,
    { pieceOf, stepsMm }: LaidPass,
  ): { readonly every: number; readonly slices: readonly Slices[] } => {
    const isCut = passMask(labels, strategy.kind);
    const regionOf = mapTo(new Int32Array(isCut.length), isCut, (isIn) => isIn - 1);
    const [extentMm] = passExtents({ ...surface, regionOf, count: 1 }, strategy).across;
    const every = Math.max(1, Math.ceil(extentMm / leastMm / DRAWN));
    const slices = [...new Set(stepsMm)].map((stepMm) => {
      const mask = isCut.map((isIn, f) => (isIn === 1 && stepsMm[pieceOf[f]] === stepMm ? 1 : 0));
      const spacingMm = every * stepMm;
      const options = { strategy, spacingMm, offsetMm: spacingMm / 2, mask };
      return passSlices(surface.mesh, surface.topology, options);
    });
    return { every, slices };
  };
  const { min, max } = plan.mesh.boundsMm;
  return previewSvg({
    title: `${plan.source.name}: passes, preview`,
    boundsMm: { min: [min[0], min[1]], max: [max[0], max[1]] },
    passes: [
      { id: 'waterline', ...cut({ kind: 'waterline' }, waterline.spacingMm, laid.waterline) },
      {
        id: 'raster',
        ...cut(
          { kind: 'raster', feedRad: (raster.directionDeg * Math.PI) / 180 },
          raster.spacingMm,
          laid.raster,
        ),
      },
      ...(constant.length > 0
        ? [{ id: 'constant' as const, every: null, slices: constant.map(asSlice) }]
        : []),
    ],
  });
}

const asSlice = (ring: Float64Array): Omit<Slices, 'plane'> => ({
  points: Float64Array.from({ length: (3 * ring.length) / 2 }, (_, i) =>
    i % 3 === 2 ? 0 : ring[2 * Math.floor(i / 3) + (i % 3)],
  ),
  start: Uint32Array.of(0, ring.length / 2),
  closed: Uint8Array.of(1),
});
