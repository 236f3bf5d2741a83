import { mapTo } from '../core/map-to.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { compensatedSum } from '../core/sum.js';
import type { Cutter } from '../cutter/catalogue.js';
import { mostlyReachRadius } from '../reach/mostly-reach.js';
import type { Stickout } from '../reach/stickout.js';
import { connectedPatches, type Patch } from '../surface/connected-patches.js';
import type { ReachAnalysis } from './analyse-reach.js';
import { leftTogether, reachesVertex, type Candidate } from './ladder-candidates.js';
import type { StickoutProbe } from './ladder-stickout.js';

/** A place that a cutter of the catalogue fits into, but only one that sticks out too far for its diameter. */
export interface DeepPlace extends Patch {
  /** the smallest that is needed there */
  readonly cutter: Cutter;
  readonly stickout: Stickout;
  /** corners of the surface on which reach was computed that are too deep there */
  readonly corners: readonly number[];
  /** the largest balls that get into all of it, and into three quarters of it, mm, allowance included */
  readonly reachRadiusMm: number;
  readonly mostlyReachRadiusMm: number;
}

export interface WithinLength {
  /** what each leaves, the places that are too deep for it among that */
  readonly candidates: readonly Candidate[];
  /** largest first */
  readonly places: readonly DeepPlace[];
  /** (V) 1: too deep for the cutter that gets in there */
  readonly isDeep: Uint8Array;
}

export interface LengthLimit {
  readonly reach: ReachAnalysis;
  readonly probe: StickoutProbe;
  readonly mostLengthToDiameter: number;
}

/**
 * Takes from the cutters of a ladder what they would have to stick out too far for, and a larger one that is not in the
 * ladder reaches all of: that one must do it.
 *
 * @param candidates, path in order of use
 * @returns null: no cutter of the ladder sticks out too far
 */
export function withoutSlender(
  candidates: readonly Candidate[],
  path: readonly number[],
  { reach: { surface, labels }, probe, mostLengthToDiameter }: LengthLimit,
): readonly Candidate[] | null {
  const { triangles } = surface.mesh;
  const leftBy = (some: readonly Candidate[], f: number): number =>
    labels[f] < MACHINABLE_CLASSES ? leftTogether(some, f) : 0;
  const changed = new Map<number, Candidate>();
  for (const [i, at] of path.entries()) {
    const own = candidates[at],
      before = path.slice(0, i).map((other) => candidates[other]);
    const isNew = (v: number): boolean =>
      reachesVertex(own, v) && !before.some((other) => reachesVertex(other, v));
    const isTooLong = ({ lengthToDiameter }: Stickout): boolean => lengthToDiameter > mostLengthToDiameter;
    if (!isTooLong(probe.atVertices(own.cutter, isNew))) continue;
    let isAny = false;
    const larger = candidates.slice(0, at);
    const isOthers = (v: number): boolean => isNew(v) && larger.some((other) => reachesVertex(other, v));
    const share = own.share.slice(),
      counts = own.counts.slice();
    for (const f of labels.keys()) {
      const others = leftBy(before, f) - leftBy(larger, f);
      if (!(others > 0)) continue;
      const corners = cornersWhere([f], (h) => isOthers(triangles[h]));
      if (!isTooLong(probe.atCorners(own.cutter, corners))) continue;
      share[f] = Math.min(1, share[f] + others);
      for (const h of corners) counts[triangles[h]] = 0;
      isAny = true;
    }
    if (!isAny) continue;
    changed.set(at, { ...own, share, larger: largerThan(own, share), counts });
  }
  return changed.size === 0 ? null : candidates.map((own, at) => changed.get(at) ?? own);
}

/** What a cutter would leave if it were larger is no less than what it leaves. */
const largerThan = ({ larger }: Candidate, share: Float64Array): Float64Array =>
  larger.map((own, f) => Math.max(own, share[f]));

/** What is too deep of a surface, as it is found. */
interface Deep {
  /** (F) share of each facet */
  readonly share: Float64Array;
  /** (F) candidate for which it is; -1: for none */
  readonly candidate: Int32Array;
  /** (V) */
  readonly isDeep: Uint8Array;
}

/**
 * Takes from each cutter the places for which it is the largest that gets in, but would stick out more than so many of
 * its diameters. A smaller one would be more slender still, so the place is taken from those as well. Told connected
 * patch by connected patch: at one depth a cutter may work, at another not.
 *
 * @param candidates large to small
 * @param others these reach places from which nothing is taken
 */
export function withinLength(
  candidates: readonly Candidate[],
  others: readonly Candidate[],
  limit: LengthLimit,
): WithinLength {
  const { labels, counts } = limit.reach;
  const deep: Deep = {
    share: new Float64Array(labels.length),
    candidate: new Int32Array(labels.length).fill(-1),
    isDeep: new Uint8Array(counts.length),
  };
  let before = mapTo(new Float64Array(labels.length), labels, (label, f) =>
    label < MACHINABLE_CLASSES ? leftTogether(others, f) : 0,
  );
  const shares = candidates.map((own, i) => {
    const after = before.map((share, f) => Math.min(share, own.share[f]));
    markDeep(candidates, others, i, { before, after }, limit, deep);
    before = after;
    return own.share.map((share, f) => Math.min(1, share + deep.share[f]));
  });
  const places = deepPlaces(candidates, limit, deep, before);
  const less = (own: Candidate, i: number): Candidate => ({
    ...own,
    share: shares[i],
    larger: largerThan(own, shares[i]),
    counts: own.counts.map((count, v) => (deep.isDeep[v] ? 0 : count)),
  });
  return { places, isDeep: deep.isDeep, candidates: places.length === 0 ? candidates : candidates.map(less) };
}

/** Marks where candidate i, the first that gets in, would be too slender. */
function markDeep(
  candidates: readonly Candidate[],
  others: readonly Candidate[],
  i: number,
  { before, after }: { readonly before: Float64Array; readonly after: Float64Array },
  { reach: { surface }, probe, mostLengthToDiameter }: LengthLimit,
  deep: Deep,
): void {
  const own = candidates[i],
    larger = [...others, ...candidates.slice(0, i)];
  const isNew = (v: number): boolean =>
    reachesVertex(own, v) && !larger.some((other) => reachesVertex(other, v));
  const isTooLong = ({ lengthToDiameter }: Stickout): boolean => lengthToDiameter > mostLengthToDiameter;
  if (!isTooLong(probe.atVertices(own.cutter, isNew))) return;
  const { triangles } = surface.mesh;
  const member = Int32Array.from(before, (share) => (share > 0 ? 0 : -1));
  for (const faces of connectedPatches(surface, member, (f) => before[f] > after[f]).facesOf) {
    const corners = cornersWhere(faces, (h) => isNew(triangles[h]));
    if (!isTooLong(probe.atCorners(own.cutter, corners))) continue;
    for (const f of faces) {
      deep.share[f] += before[f] - after[f];
      deep.candidate[f] = i;
    }
    for (const h of corners) deep.isDeep[triangles[h]] = 1;
  }
}

const cornersWhere = (faces: readonly number[], is: (h: number) => boolean): number[] =>
  faces.flatMap((f) => [3 * f, 3 * f + 1, 3 * f + 2].filter(is));

/** What hangs together of it, by way of what no cutter reaches too, with the cutter that all of it takes. */
function deepPlaces(
  candidates: readonly Candidate[],
  { reach: { surface, areas, reachRadii }, probe }: LengthLimit,
  deep: Deep,
  leftByAll: Float64Array,
): DeepPlace[] {
  const { triangles } = surface.mesh;
  const { facesOf, patches } = connectedPatches(
    surface,
    deep.candidate.map((at, f) => (at >= 0 || leftByAll[f] > 0 ? 0 : -1)),
    (f) => deep.candidate[f] >= 0,
  );
  return facesOf
    .map((faces, p) => {
      const smallest = Math.max(...faces.map((f) => deep.candidate[f]));
      const { cutter } = candidates[smallest];
      const own = faces.filter((f) => deep.candidate[f] === smallest);
      const deepIn = (some: readonly number[]): number[] =>
        cornersWhere(some, (h) => deep.isDeep[triangles[h]] === 1);
      const corners = deepIn(faces);
      return {
        ...patches[p],
        areaMm2: compensatedSum(faces.map((f) => deep.share[f] * areas[f])),
        cutter,
        stickout: probe.atCorners(cutter, deepIn(own)),
        corners,
        reachRadiusMm: corners.reduce((least, h) => Math.min(least, reachRadii[triangles[h]]), Infinity),
        mostlyReachRadiusMm: mostlyReachRadius(
          corners.map((h) => ({ radiusMm: reachRadii[triangles[h]], weight: areas[(h / 3) | 0] })),
        ),
      };
    })
    .sort((a, b) => b.areaMm2 - a.areaMm2);
}
