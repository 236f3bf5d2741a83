import { mapTo } from '../core/map-to.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import { compensatedSum } from '../core/sum.js';
import type { Cutter } from '../cutter/catalogue.js';
import { mostlyReachRadius } from '../reach/mostly-reach.js';
import type { Stickout } from '../reach/stickout.js';
import type { TightPatches } from '../reach/tight-patches.js';
import { connectedPatches, type Patch } from '../surface/connected-patches.js';
import { connectedRegions } from '../surface/connected-regions.js';
import type { ReachAnalysis } from './analyse-reach.js';
import { cornersCutBy, cornersWhere, leftTogether, type Candidate } from './ladder-candidates.js';
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
  /** those too small to list */
  readonly crumbs: TightPatches['crumbs'];
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
  limit: LengthLimit,
): readonly Candidate[] | null {
  const { reach } = limit,
    { triangles } = reach.surface.mesh;
  const changed = new Map<number, Candidate>();
  for (const [i, at] of path.entries()) {
    const own = candidates[at],
      before = path.slice(0, i).map((other) => candidates[other]);
    const cut = cornersCutBy(own, before, reach);
    if (!isTooLong(own, cut, limit)) continue;
    const larger = candidates.slice(0, at);
    const share = own.share.slice(),
      counts = own.counts.slice();
    let isAny = false;
    for (const [f, corners] of groupedBy(cut, (f) => f)) {
      if (!isTooLong(own, corners, limit)) continue;
      // Where two of the larger ones each reach a part of a facet, that is not told of their shares.
      const others = Math.max(0, leftTogether(before, f) - leftTogether(larger, f));
      share[f] = Math.min(1, share[f] + others);
      for (const h of corners) if (isTooLong(own, [h], limit)) counts[triangles[h]] = 0;
      isAny = true;
    }
    if (!isAny) continue;
    changed.set(at, { ...own, share, larger: largerThan(own, share), counts });
  }
  return changed.size === 0 ? null : candidates.map((own, at) => changed.get(at) ?? own);
}

const isTooLong = (
  { cutter }: Candidate,
  corners: readonly number[],
  { probe, mostLengthToDiameter }: LengthLimit,
): boolean => corners.length > 0 && probe.atCorners(cutter, corners).lengthToDiameter > mostLengthToDiameter;

/** Corners in lists by what they belong to. */
function groupedBy(corners: readonly number[], keyOf: (f: number) => number): Map<number, number[]> {
  const lists = new Map<number, number[]>();
  for (const h of corners) {
    const key = keyOf((h / 3) | 0),
      list = lists.get(key);
    if (list) list.push(h);
    else lists.set(key, [h]);
  }
  return lists;
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
  const isAny = deep.candidate.some((at) => at >= 0);
  const less = (own: Candidate, i: number): Candidate => ({
    ...own,
    share: shares[i],
    larger: largerThan(own, shares[i]),
    counts: own.counts.map((count, v) => (deep.isDeep[v] ? 0 : count)),
  });
  return {
    ...deepPlaces(candidates, limit, deep, before),
    isDeep: deep.isDeep,
    candidates: isAny ? candidates.map(less) : candidates,
  };
}

/** Marks where candidate i, the first that gets in, would be too slender. */
function markDeep(
  candidates: readonly Candidate[],
  others: readonly Candidate[],
  i: number,
  { before, after }: { readonly before: Float64Array; readonly after: Float64Array },
  limit: LengthLimit,
  deep: Deep,
): void {
  const own = candidates[i],
    { surface } = limit.reach;
  const cut = cornersCutBy(own, [...others, ...candidates.slice(0, i)], limit.reach);
  if (!isTooLong(own, cut, limit)) return;
  // However small a piece is: what is too small to list would be milled, and tell how far the cutter sticks out.
  const { regionOfFace } = connectedRegions(
    surface.topology,
    before.map((share) => (share > 0 ? 0 : -1)),
  );
  const taken = new Set<number>();
  for (const [region, corners] of groupedBy(cut, (f) => regionOfFace[f])) {
    if (!isTooLong(own, corners, limit)) continue;
    taken.add(region);
    for (const h of corners) deep.isDeep[surface.mesh.triangles[h]] = 1;
  }
  regionOfFace.forEach((region, f) => {
    if (!(taken.has(region) && before[f] > after[f])) return;
    deep.share[f] += before[f] - after[f];
    deep.candidate[f] = i;
  });
}

/** What hangs together of it, by way of what no cutter reaches too, with the cutter that all of it takes. */
function deepPlaces(
  candidates: readonly Candidate[],
  { reach: { surface, areas, reachRadii }, probe }: LengthLimit,
  deep: Deep,
  leftByAll: Float64Array,
): Pick<WithinLength, 'places' | 'crumbs'> {
  const { triangles } = surface.mesh;
  const areaOf = (f: number): number => deep.share[f] * areas[f];
  const { facesOf, patches, patchOf, crumbs } = connectedPatches(
    surface,
    deep.candidate.map((at, f) => (at >= 0 || leftByAll[f] > 0 ? 0 : -1)),
    (f) => deep.candidate[f] >= 0,
  );
  const places = facesOf
    .map((faces, p) => {
      const smallest = Math.max(...faces.map((f) => deep.candidate[f]));
      const { cutter } = candidates[smallest];
      const own = faces.filter((f) => deep.candidate[f] === smallest);
      const deepIn = (some: readonly number[]): number[] =>
        cornersWhere(some, (h) => deep.isDeep[triangles[h]] === 1);
      const corners = deepIn(faces);
      return {
        ...patches[p],
        areaMm2: compensatedSum(faces.map(areaOf)),
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
  const unlistedMm2 = compensatedSum(deep.share.map((_, f) => (patchOf[f] < 0 ? areaOf(f) : 0)));
  return { places, crumbs: { count: crumbs.count, areaMm2: unlistedMm2 } };
}
