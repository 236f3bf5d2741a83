import { listsByKey } from '../core/lists.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Cutter } from '../cutter/catalogue.js';
import type { Stickout } from '../reach/stickout.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import type { ReachAnalysis } from './analyse-reach.js';
import type { Ladder } from './choose-ladder.js';
import type { RegionMinutes } from './region-minutes.js';
import type { StickoutProbe } from './ladder-stickout.js';

/** The cutter that finishes a region, and how far it must stick out there. */
export interface RegionStickout {
  readonly cutter: Cutter;
  readonly stickout: Stickout;
  /** those after it that finish more of the region, in order of use */
  readonly later: readonly Cutter[];
}

/**
 * For each region the first cutter of the ladder that works there, and its least stickout at all places that it finishes
 * there. One that reaches no more than the rim, from the ground beside it, does not work there.
 *
 * @param regions of the surface on which reach was computed
 * @param byRegion what each cutter does in each
 * @returns (R) null for regions that are not machined, and where no cutter of the ladder reaches anything
 */
export function regionStickouts(
  reach: ReachAnalysis,
  regions: NumberedRegions,
  { rungs }: Ladder,
  probe: StickoutProbe,
  { byRegion }: Pick<RegionMinutes, 'byRegion'>,
): (RegionStickout | null)[] {
  const { triangles } = reach.surface.mesh;
  const { start, items: faces } = listsByKey(regions.regionOfFace, regions.areas.length);
  return Array.from(regions.classOf, (cls, r) => {
    if (cls >= MACHINABLE_CLASSES) return null;
    const corners: number[][] = rungs.map(() => []);
    for (let at = start[r]; at < start[r + 1]; at++) {
      for (let h = 3 * faces[at]; h < 3 * faces[at] + 3; h++) {
        corners[rungs.findIndex(({ reaches }) => reaches(triangles[h]))]?.push(h);
      }
    }
    const reaching = [...rungs.keys()].filter((i) => corners[i].length > 0),
      working = reaching.filter((i) => byRegion[r].some(({ cutterId }) => cutterId === rungs[i].cutter.id));
    const [first, ...later] = working.length > 0 ? working : reaching;
    if (first !== undefined) {
      const { cutter } = rungs[first];
      return {
        cutter,
        stickout: probe.atCorners(cutter, corners[first]),
        later: later.map((i) => rungs[i].cutter),
      };
    }
    return null;
  });
}
