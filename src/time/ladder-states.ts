import { keptOf } from '../core/kept-of.js';
import { compensatedSum, runningSum } from '../core/sum.js';

/** A cutter of any shape that may take part. */
export interface Candidate {
  readonly id: string;
  /** (F) share of each facet that it leaves, 0 .. 1 */
  readonly left: Float64Array;
  /** (F) share that it would leave if taken larger for the blend, with what is beyond the facet: may be over 1 */
  readonly larger: Float64Array;
  /** why it must not be used (too short, ...), or null */
  readonly barred: string | null;
  /** it finishes floors and walls alone, before the first of those that finish the rest */
  readonly isMill?: boolean;
}

/** A state of the part. */
export interface Left {
  /** (F) share of each facet that is left */
  readonly share: Float64Array;
  /** (F) share that would be if the cutters before were larger by the blend */
  readonly larger: Float64Array;
  /** facets of which more would be left so than all candidates leave together, in order */
  readonly faces: Uint32Array;
}

/** What some candidates leave, each and all together. */
export function groundOf(candidates: readonly Candidate[], areas: Float64Array) {
  const wrong = candidates.find(({ left }) => left.length !== areas.length);
  if (wrong) throw new RangeError(`chooseSteps: ${wrong.left.length} shares, ${areas.length} areas`);
  if (candidates.length === 0) throw new RangeError('chooseSteps: no cutter');
  const leftByAll = new Float64Array(areas.length).fill(1);
  for (const { left } of candidates)
    for (let f = 0; f < left.length; f++) leftByAll[f] = Math.min(leftByAll[f], left[f]);
  return {
    candidates,
    areas,
    totalMm2: compensatedSum(areas),
    /** (F) share that no candidate reaches, and that, mm² */
    leftByAll,
    leftByAllMm2: compensatedSum(leftByAll.map((share, f) => share * areas[f])),
    /** of each candidate the facets of which it leaves more, or would if larger by the blend */
    facesOf: candidates.map(({ larger }) => facesWhere(areas, (f) => larger[f] > leftByAll[f])),
  };
}
export type Ground = ReturnType<typeof groundOf>;

/** Facets that have an area and fulfil a condition. */
function facesWhere(areas: Float64Array, is: (f: number) => boolean): Uint32Array {
  const faces = new Uint32Array(areas.length);
  let count = 0;
  for (let f = 0; f < areas.length; f++) if (areas[f] > 0 && is(f)) faces[count++] = f;
  return faces.slice(0, count);
}

/** Of the facets that each of some candidates leaves more of than all do, those of the one that has fewest. */
export const fewestFaces = ({ facesOf }: Ground, some: readonly number[]): Uint32Array =>
  some.map((at) => facesOf[at]).reduce((a, b) => (b.length < a.length ? b : a));

/** Share of a facet that several leave together, at least one. @param lefts of each the share of every facet */
export function leastOf(lefts: readonly Float64Array[], f: number): number {
  let least = Infinity;
  for (let k = 0; k < lefts.length; k++) if (lefts[k][f] < least) least = lefts[k][f];
  return least;
}

/** Calls for each facet of which some candidates together, at least one, leave more than all do, with how much of it. */
export function eachLeft(
  ground: Ground,
  some: readonly number[],
  visit: (f: number, moreShare: number) => void,
): void {
  const { candidates, leftByAll } = ground;
  const lefts = some.map((at) => candidates[at].left);
  for (const f of fewestFaces(ground, some)) {
    const more = leastOf(lefts, f) - leftByAll[f];
    if (more > 0) visit(f, more);
  }
}

/** What some candidates leave together, mm². */
export function leftMm2By(ground: Ground, some: readonly number[]): number {
  if (some.length === 0) return ground.totalMm2;
  const sum = runningSum();
  eachLeft(ground, some, (f, more) => sum.add(more * ground.areas[f]));
  return ground.leftByAllMm2 + sum.value();
}

/** What a candidate leaves of what was left before it. */
export function leftAfter({ candidates, leftByAll, facesOf }: Ground, before: Left | null, at: number): Left {
  const share = leftByAll.slice(),
    larger = leftByAll.slice(),
    own = candidates[at];
  for (const f of before?.faces ?? facesOf[at]) {
    share[f] = Math.min(before?.share[f] ?? 1, own.left[f]);
    larger[f] = Math.min(before?.larger[f] ?? Infinity, own.larger[f]);
  }
  const faces = before ? keptOf(before.faces, (f) => larger[f] > leftByAll[f]) : facesOf[at];
  return { share, larger, faces };
}

/** What is left, mm². */
export function areaOf({ areas, leftByAll, leftByAllMm2 }: Ground, { share, faces }: Left): number {
  const sum = runningSum();
  for (const f of faces) sum.add((share[f] - leftByAll[f]) * areas[f]);
  return leftByAllMm2 + sum.value();
}
