import type { Cutter } from '../cutters/catalogue.js';
import type { Clipper } from '../outlines/clipper.js';
import { cutterOutlines, OFFSET_DEFAULTS, type CutterOutlines } from '../outlines/offset.js';
import type { Rings } from '../outlines/ring-measures.js';
import { ringsOfRegion, traceRings } from '../outlines/trace-rings.js';
import { cutAtBorder } from '../zones/tight-patches.js';
import type { ReachAnalysis } from './analyse-reach.js';
import type { Ladder, Rung } from './choose-ladder.js';
import type { PassOutlines } from './pass-outlines.js';

/** What one cutter of the ladder is to cut, in plan, with the outlines that hold it there. */
export interface CutterArea {
  readonly cutter: Cutter;
  /** `waterline` and `raster` of the first cutter; `rest`: what the cutter before leaves */
  readonly work: 'waterline' | 'raster' | 'rest';
  readonly outlines: CutterOutlines;
}

/** The areas of all cutters of a ladder, in order of use; an area with nothing in plan is left out. */
export function cutterAreas(
  reach: ReachAnalysis, { rungs }: Pick<Ladder, 'rungs'>, passes: PassOutlines, clipper: Clipper, runOutMm: number,
): CutterArea[] {
  return rungs.flatMap(({ cutter }, i): CutterArea[] => {
    const contacts: [CutterArea['work'], Rings][] = i === 0
      ? [['waterline', passes.waterline], ['raster', passes.raster]]
      : [['rest', restOutlines(reach, rungs[i - 1], clipper)]];
    return contacts.filter(([, contact]) => contact.length > 0).map(([work, contact]) => ({
      cutter, work, outlines: cutterOutlines(contact, cutter, clipper, { ...OFFSET_DEFAULTS, runOutMm }),
    }));
  });
}

/** Plan outlines of what a cutter leaves. */
function restOutlines({ surface, labels, counts }: ReachAnalysis, { reach }: Rung, clipper: Clipper): Rings {
  const cut = cutAtBorder(surface, labels, counts, reach.border);
  return ringsOfRegion(traceRings(cut.surface.mesh, cut.surface.topology, cut.unreached, clipper).outlines, 0);
}
