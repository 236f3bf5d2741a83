import type { Surface } from '../part/types.js';
import type { NotMilled, Plan } from '../plan/plan.js';
import { passSlices, type Slices } from '../time/slices.js';
import { clippedLoop, type Frame } from '../outlines/clip-loop.js';
import type { PlaceSection } from '../write/place-pictures.js';
import type { ZonedSurface } from '../zones/build-zones.js';
import type { NumberedRegions } from '../zones/number-regions.js';
import type { ReachAnalysis } from './analyse-reach.js';
import type { Ladder } from './choose-ladder.js';

export interface SectionsInput {
  readonly plan: Plan;
  readonly zoned: Pick<ZonedSurface, 'surface'>;
  readonly regions: NumberedRegions;
  readonly reach: ReachAnalysis;
  readonly ladder: Ladder;
}

/** So many of the largest places have a picture. */
const MOST_PICTURES = 12;
/** What is shown is so many times as wide and as high as the place, and no less than this, mm. */
const ROUND_IT = 2.2,
  LEAST_FRAME_MM = 4;
/** More than the length of any part, mm: one plane alone meets it. */
const FAR_MM = 1e7;
/** Points are no closer than this share of the frame. */
const FINEST = 1 / 300;

/**
 * Upright sections through the largest places that are not milled, each across its longer side in plan, half way along
 * it: what hangs together is met there. Where the place lies along that plane, as on a wall, and does not show, across
 * the other.
 */
export const placeSections = (input: SectionsInput): PlaceSection[] =>
  input.plan.notMilled.slice(0, MOST_PICTURES).map((place) => {
    const { min, max } = place.boundsMm;
    const isAcrossX = max[0] - min[0] >= max[1] - min[1];
    const own = sectionOf(place, isAcrossX, input);
    return own.marked.length > 0 ? own : sectionOf(place, !isAcrossX, input);
  });

function sectionOf(place: NotMilled, isAcrossX: boolean, input: SectionsInput): PlaceSection {
  const along = isAcrossX ? 1 : 0;
  const frame = frameOf(place, along, input.plan.mesh.boundsMm),
    atMm = middleOf(place, 1 - along);
  // Seen along the passes of a raster whose feed lies in the plane: its levels are -x, or y.
  const options = {
    strategy: { kind: 'raster' as const, feedRad: isAcrossX ? Math.PI / 2 : 0 },
    spacingMm: FAR_MM,
    offsetMm: isAcrossX ? -atMm : atMm,
  };
  const { surface } = input.zoned;
  const solid = linesOf(passSlices(surface.mesh, surface.topology, options), along);
  const { surface: own, mask } = facetsOf(place, input);
  const marked = linesOf(passSlices(own.mesh, own.topology, { ...options, mask }), along);
  const size = Math.max(frame.max[0] - frame.min[0], frame.max[1] - frame.min[1]);
  const short = (points: readonly number[]): number[] => thinned(points, FINEST * size);
  return {
    place,
    isAcrossX,
    atMm,
    frame,
    solid: solid.filter(({ isClosed }) => isClosed).map(({ points }) => short(clippedLoop(points, frame))),
    open: solid.filter(({ isClosed }) => !isClosed).map(({ points }) => short(points)),
    marked: marked.map(({ points }) => short(points)),
  };
}

const middleOf = ({ boundsMm: { min, max } }: NotMilled, k: number): number => (min[k] + max[k]) / 2;

/** Plane coordinates of what is shown: along the section, and height. */
function frameOf(place: NotMilled, along: number, part: Plan['mesh']['boundsMm']): Frame {
  const { boundsMm } = place;
  const wide = boundsMm.max[along] - boundsMm.min[along],
    high = boundsMm.max[2] - boundsMm.min[2];
  const half = Math.max(LEAST_FRAME_MM, ROUND_IT * wide, ROUND_IT * high) / 2;
  const [middle, at] = [2, along].map((k) => middleOf(place, k));
  // A little air above the part, nothing far below it.
  const top = Math.min(middle + half, part.max[2] + 0.15 * half),
    bottom = Math.max(middle - half, part.min[2] - 0.15 * half);
  return { min: [at - half, bottom], max: [at + half, top] };
}

/** The facets of a place, on the surface that it was found on. */
function facetsOf(
  { kind, isRegion, placeId }: NotMilled,
  { zoned, regions, reach, ladder }: SectionsInput,
): { readonly surface: Surface; readonly mask: Uint8Array } {
  const where = (surface: Surface, patchOf: ArrayLike<number>) => ({
    surface,
    mask: Uint8Array.from(patchOf, (patch) => (patch === placeId ? 1 : 0)),
  });
  if (isRegion) return where(zoned.surface, regions.regionOfFace);
  if (kind === 'too-tight') return where(ladder.leftover.surface, ladder.leftover.patchOf);
  if (kind === 'too-short') return where(ladder.tight.surface, ladder.tight.patchOf);
  const mask = new Uint8Array(reach.labels.length);
  for (const h of ladder.tooDeep[placeId].corners) mask[(h / 3) | 0] = 1;
  return { surface: reach.surface, mask };
}

interface Line {
  /** plane coordinates, mm: u, z, u, z ... */
  readonly points: readonly number[];
  readonly isClosed: boolean;
}

const linesOf = ({ points, start, closed }: Slices, along: number): Line[] =>
  Array.from(closed, (isClosed, l) => {
    const plane: number[] = [];
    for (let i = start[l]; i < start[l + 1]; i++) plane.push(points[3 * i + along], points[3 * i + 2]);
    return { points: plane, isClosed: isClosed === 1 };
  });

/** Without points that are closer to the last one kept; the ends stay. */
function thinned(points: readonly number[], leastMm: number): number[] {
  const kept = points.slice(0, 2);
  for (let i = 2; i < points.length; i += 2) {
    const [u, z] = kept.slice(-2);
    const isEnd = i + 2 >= points.length;
    if (isEnd || (points[i] - u) ** 2 + (points[i + 1] - z) ** 2 >= leastMm * leastMm)
      kept.push(points[i], points[i + 1]);
  }
  return kept;
}
