import { tick, type Context } from '../core/context.js';
import { truePlaces, type SmoothPart } from '../part/sagittas.js';
import { cutterShape } from '../cutter/catalogue.js';
import { byPlace } from '../reach/place-order.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import { POINT_STRIDE } from '../reach/reach-kernels.js';
import { ridgeBands, type RidgeBands } from '../write/ridge-bands.js';
import { COUNT_STEP, viewData, type KnownGaps, type ViewData } from '../write/view-data.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import type { ReachAnalysis } from './analyse-reach.js';
import type { Ladder } from './choose-ladder.js';

export interface PictureInput {
  readonly reach: ReachAnalysis;
  readonly part: SmoothPart;
  readonly ladder: Ladder;
  readonly engine: ReachAnswers;
  /** regions of the surface on which reach was computed */
  readonly refined: NumberedRegions;
  /** (F) mm; Infinity: passes do not meet; NaN: none cuts there */
  readonly scallops: Float64Array;
  /** (F) area that the cutter of the passes reaches, mm² */
  readonly reachedAreas: Float64Array;
  readonly scallopMm: number;
}

/** What the report's view shows. */
export interface Picture {
  readonly view: ViewData;
  readonly ridges: RidgeBands;
}

/** The picture of the surveyed surface, with the gaps of the ladder's balls: to look at one costs nothing then. */
export async function surveyPicture(input: PictureInput, context: Context): Promise<Picture> {
  const { reach, part, ladder, refined, scallops, reachedAreas, scallopMm } = input;
  const { surface, areas } = reach;
  const ridges = ridgeBands(scallops, reachedAreas, areas, scallopMm);
  const view = viewData({
    surface,
    counts: countsOnTheWay(reach),
    regionOfFace: refined.regionOfFace,
    ridgeOfFace: ridges.bandOf,
    finisherOfFace: finisherOfFacets(ladder, areas.length),
    places: truePlaces(surface, part),
  });
  const gaps: KnownGaps[] = [];
  tick(context, 'gaps', 0);
  for (const [i, { cutter }] of ladder.rungs.entries()) {
    const index = reach.byRadius.findIndex(({ radiusMm }) => radiusMm === cutter.RE);
    if (cutterShape(cutter) === 'ball' && index >= 0)
      gaps.push({ cutterId: cutter.id, bands: await gapBandsOf(view, index, input, context) });
    tick(context, 'gaps', (i + 1) / ladder.rungs.length);
  }
  return { view: { ...view, gaps }, ridges };
}

/** (F) The cutter of the ladder that finishes most of each facet; their number where more of it is left. */
function finisherOfFacets({ rungs }: Ladder, faces: number): Uint8Array {
  const finishers = new Uint8Array(faces).fill(rungs.length),
    most = Float64Array.from({ length: faces }, (_, f) => rungs.at(-1)?.left.share[f] ?? 1);
  rungs.forEach(({ left: { share } }, i) => {
    const before = i > 0 ? rungs[i - 1].left.share : null;
    for (let f = 0; f < faces; f++) {
      const own = (before?.[f] ?? 1) - share[f];
      if (own <= most[f]) continue;
      most[f] = own;
      finishers[f] = i;
    }
  });
  return finishers;
}

/** The counts of radii, with how far each reach radius is on its way to the next: bands of it then have smooth borders. */
const countsOnTheWay = ({ counts, reachRadii, radii }: ReachAnalysis): Float32Array =>
  Float32Array.from(counts, (count, v) => {
    const from = count === 0 ? 0 : radii[count - 1];
    const share = (reachRadii[v] - from) / (radii[count] - from);
    // What all reach, or what was not asked, is on its way to none.
    return share > 0 ? count + COUNT_STEP * Math.floor(Math.min(share, 1 - COUNT_STEP) / COUNT_STEP) : count;
  });

/** @param index of the radius among those surveyed */
async function gapBandsOf(
  { counts, positions, normals }: Omit<ViewData, 'gaps'>,
  index: number,
  { reach, engine }: PictureInput,
  { signal }: Context,
): Promise<Uint8Array> {
  const open = byPlace(
    positions,
    Int32Array.from(counts, (count) => (count < index + 1 ? 0 : -1)),
  );
  const items = new Float64Array(POINT_STRIDE * open.length);
  open.forEach((v, i) => {
    items.set(positions.subarray(3 * v, 3 * v + 3), POINT_STRIDE * i);
    items.set(normals.subarray(3 * v, 3 * v + 3), POINT_STRIDE * i + 3);
  });
  const found = await engine.run({ kind: 'gap-bands', items, radiusMm: reach.radii[index] }, signal);
  const bands = new Uint8Array(counts.length);
  open.forEach((v, i) => {
    bands[v] = found[i];
  });
  return bands;
}
