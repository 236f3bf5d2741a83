import { edgeLength } from './facet-geometry.js';
import type { FacetNormals } from './facet-normals.js';
import type { FlatPatches } from './flat-patches.js';
import { BEND_RATIO, bendsBeyond, bordersOf, extentAcross } from './patch-borders.js';
import type { Mesh, Topology } from './types.js';

/** What an edge between two facets is. */
export const EDGE = {
  /** A real edge of the part, or an open one: the two sides keep their own normals. */
  crease: 0,
  /** Inside a smooth surface: both sides share a normal. */
  smooth: 1,
  /** A flat face running tangentially into a curved one; the flat face is on this half-edge's side. */
  flatHere: 2,
  /** The same, with the flat face on the twin's side. */
  flatThere: 3,
} as const;

/** Bends with an invisible sagitta, mm, on facets narrower than `NARROW_MM` are tessellation or noise. */
const INVISIBLE_MM = 0.02;
const NARROW_MM = 2;
/**
 * No exporter leaves facets that miss a smooth surface by more, mm, 15 degrees of a radius of 40: beyond it two facets are
 * two faces.
 */
const LARGEST_SAGITTA_MM = 0.35;
/**
 * A bend below this, radians, tilts no face visibly: strips of a fine ring of facets meet so, no flat face
 * does.
 */
const SLIGHT_RAD = 1e-3;
/** A face this many times as long, across the edge, as the facet beside it is none of the curve's own. */
const LONG_RATIO = 8;
/** Beside a face so many times as wide a facet is a sliver, whose direction is chance. */
const SLIVER_RATIO = 64;
/** So long it must be if the bend between them is half of the curve's own. */
const HALF_LONG_RATIO = 3;

/**
 * Tells edges of the part from edges of its tessellation.
 *
 * An angle alone cannot: two planes that meet at 10 degrees are two faces, while a fillet exported in six
 * facets bends by 15 degrees at each. So beside the angle this looks at what an edge's neighbours do. In the
 * facets of a curved surface the bend goes on at the far side with the same sign and a like amount. Where a
 * plane runs into a fillet the bend is half of the fillet's next one (a chord against the tangent), or no
 * more than it on a much wider facet; there the plane's normal is the surface's normal.
 *
 * Trade practice for the limits (no source); checked on planes, fillets of 3 to 48 facets and noisy scans.
 *
 * @param creaseRad bends beyond this are always creases
 * @returns (3 F) one of `EDGE` per half-edge; an open edge is a crease
 */
export function smoothEdges(
  mesh: Mesh,
  topology: Topology,
  facets: FacetNormals,
  patches: FlatPatches,
  creaseRad: number,
): Uint8Array {
  const { twin } = topology;
  const bends = signedBends(mesh, topology, facets);
  const widthAt = patchWidths(mesh, topology, patches);
  const kind = new Uint8Array(twin.length);
  const borders = bordersOf(topology, patches),
    across = extentAcross(mesh, borders, patches),
    bendBeyond = bendsBeyond(mesh, topology, patches, borders, bends, creaseRad);
  for (let h = 0; h < twin.length; h++) {
    const t = twin[h];
    if (t < h) continue;
    const here = patches.patchOf[(h / 3) | 0],
      there = patches.patchOf[(t / 3) | 0];
    if (here === there) {
      kind[h] = kind[t] = EDGE.smooth;
      continue;
    }
    const bend = Math.abs(bends[h]);
    if (bend > creaseRad) continue;
    const sign = bends[h] >= 0 ? 0 : 2;
    const ours = widthAt(h),
      theirs = widthAt(t),
      acrossHere = across(h),
      acrossThere = across(t),
      widestMm = Math.max(acrossHere, acrossThere);
    const kindBy = (isAnyWay: boolean): number => {
      const nextHere = bendBeyond(h, there, sign, isAnyWay),
        nextThere = bendBeyond(t, here, sign, isAnyWay);
      if (isTangentFlat(ours, theirs, bend, nextThere, nextHere) && !misses(acrossThere, nextThere))
        return EDGE.flatHere;
      if (isTangentFlat(theirs, ours, bend, nextHere, nextThere) && !misses(acrossHere, nextHere))
        return EDGE.flatThere;
      if (isInvisible(widestMm, bend)) return EDGE.smooth;
      const isLike = (next: number): boolean => next >= bend / BEND_RATIO && next <= bend * BEND_RATIO;
      if (!isLike(nextHere) && !isLike(nextThere)) return EDGE.crease;
      // Between a face and a sliver it is the face that the surface runs along.
      if (isSliverBeside(theirs, ours)) return EDGE.flatHere;
      if (isSliverBeside(ours, theirs)) return EDGE.flatThere;
      return misses(widestMm, bend) ? EDGE.crease : EDGE.smooth;
    };
    // A curve that is bent both ways, as a saddle, may go on in any direction.
    const along = kindBy(false);
    kind[h] = along === EDGE.crease ? kindBy(true) : along;
    kind[t] = twinOf(kind[h]);
  }
  return kind;
}

/** The kind of an edge as its other half has it. */
const twinOf = (kind: number): number =>
  kind === EDGE.flatHere ? EDGE.flatThere : kind === EDGE.flatThere ? EDGE.flatHere : kind;

/** How far a patch extends from its border with another. */
interface PatchWidth {
  /** its area over the length of that border, mm */
  readonly long: number;
  /** the same, but no more than the side of a square or twice the width of a strip, mm */
  readonly wide: number;
}

/** A flat face against the first facet of a curve whose next bend is `nextBend`. */
function isTangentFlat(
  flat: PatchWidth,
  curve: PatchWidth,
  bend: number,
  nextBend: number,
  flatsOwnNext: number,
): boolean {
  if (nextBend === 0 || bend < SLIGHT_RAD) return false;
  if (flat.wide >= 3 * curve.wide || flat.long >= LONG_RATIO * curve.long) return bend <= 1.3 * nextBend;
  // The straight between two roundings bends at both of its ends, by half as much as they do.
  const goesOnBehind = flatsOwnNext > bend / BEND_RATIO && flat.long < HALF_LONG_RATIO * curve.long;
  return flat.wide >= curve.wide && bend >= 0.3 * nextBend && bend <= 0.7 * nextBend && !goesOnBehind;
}

/** Whether a facet is too narrow to be seen, and tells no direction. */
const isSliverBeside = (sliver: PatchWidth, face: PatchWidth): boolean =>
  sliver.wide <= 2 * INVISIBLE_MM && face.wide >= SLIVER_RATIO * sliver.wide;

/** Whether facets so wide across edges of such a bend would miss a curve by more than exporters let them. */
const misses = (acrossMm: number, bend: number): boolean => acrossMm * bend > 8 * LARGEST_SAGITTA_MM;

/** Of the wider side: a crease beside a strip of fine tessellation is still a crease. */
const isInvisible = (acrossMm: number, bend: number): boolean =>
  (acrossMm * bend) / 8 <= INVISIBLE_MM && acrossMm <= NARROW_MM;

/**
 * (3 F) angle between the normals of the two facets at each half-edge, rad, positive where convex; 0 if open.
 */
function signedBends(mesh: Mesh, topology: Topology, facets: FacetNormals): Float64Array {
  const { positions, triangles } = mesh;
  const n = facets.normals;
  const bends = new Float64Array(topology.twin.length);
  for (let h = 0; h < bends.length; h++) {
    const t = topology.twin[h];
    if (t < h) continue;
    const f = 3 * ((h / 3) | 0),
      g = 3 * ((t / 3) | 0);
    const cx = n[f + 1] * n[g + 2] - n[f + 2] * n[g + 1];
    const cy = n[f + 2] * n[g] - n[f] * n[g + 2];
    const cz = n[f] * n[g + 1] - n[f + 1] * n[g];
    const dot = n[f] * n[g] + n[f + 1] * n[g + 1] + n[f + 2] * n[g + 2];
    const a = 3 * triangles[h],
      b = 3 * triangles[h === f + 2 ? f : h + 1];
    const along =
      cx * (positions[b] - positions[a]) +
      cy * (positions[b + 1] - positions[a + 1]) +
      cz * (positions[b + 2] - positions[a + 2]);
    const angle = Math.atan2(Math.sqrt(cx * cx + cy * cy + cz * cz), dot);
    bends[h] = bends[t] = along >= 0 ? angle : -angle;
  }
  return bends;
}

/**
 * Width of the patch on the side of a half-edge to another patch: its area over the length it shares with
 * that one, but no more than four times its area over its perimeter: the side of a square, twice the width of
 * a long strip. Facets of a finely tessellated ring lie in one plane a few at a time, and such a strip is no
 * wider for its length.
 */
function patchWidths(mesh: Mesh, topology: Topology, patches: FlatPatches): (h: number) => PatchWidth {
  const { patchOf, areas } = patches;
  const { twin } = topology;
  const sizes = new Uint32Array(areas.length);
  for (let f = 0; f < patchOf.length; f++) sizes[patchOf[f]]++;
  const perimeters = new Float64Array(areas.length);
  const shared = pairSums();
  for (let h = 0; h < twin.length; h++) {
    const t = twin[h],
      p = patchOf[(h / 3) | 0];
    if (t < 0) perimeters[p] += edgeLength(mesh, h);
    if (t < h) continue;
    const q = patchOf[(t / 3) | 0];
    if (p === q) continue;
    const length = edgeLength(mesh, h);
    perimeters[p] += length;
    perimeters[q] += length;
    if (sizes[p] > 1 && sizes[q] > 1) shared.add(p, q, length);
  }
  /** Length of the border of the single facet of half-edge `h` with patch `q`. */
  const alongFacet = (h: number, q: number): number => {
    const first = h - (h % 3);
    let sum = 0;
    for (let side = first; side < first + 3; side++) {
      if (twin[side] >= 0 && patchOf[(twin[side] / 3) | 0] === q) sum += edgeLength(mesh, side);
    }
    return sum;
  };
  return (h) => {
    const t = twin[h],
      p = patchOf[(h / 3) | 0],
      q = patchOf[(t / 3) | 0];
    const border = sizes[p] === 1 ? alongFacet(h, q) : sizes[q] === 1 ? alongFacet(t, p) : shared.get(p, q);
    return {
      long: areas[p] / Math.max(border, 1e-12),
      wide: areas[p] / Math.max(border, perimeters[p] / 4, 1e-12),
    };
  };
}

/**
 * Sums by unordered pair of patches, in an open-addressing table (a Map ends at 2^24 entries, and is slow).
 */
function pairSums(): { add(p: number, q: number, x: number): void; get(p: number, q: number): number } {
  let keys = new Float64Array(1024).fill(-1),
    sums = new Float64Array(1024);
  let used = 0;
  const slotOf = (p: number, q: number): number => {
    const low = Math.min(p, q),
      high = Math.max(p, q),
      last = keys.length - 1;
    const key = low * 4294967296 + high;
    let slot = (Math.imul(low, 0x9e3779b1) ^ Math.imul(high, 0x85ebca6b)) & last;
    while (keys[slot] !== key && keys[slot] !== -1) slot = (slot + 1) & last;
    if (keys[slot] === -1) used++;
    keys[slot] = key;
    return slot;
  };
  const grow = (): void => {
    const oldKeys = keys,
      oldSums = sums;
    keys = new Float64Array(4 * oldKeys.length).fill(-1);
    sums = new Float64Array(4 * oldSums.length);
    used = 0;
    for (let i = 0; i < oldKeys.length; i++) {
      if (oldKeys[i] >= 0)
        sums[slotOf(Math.floor(oldKeys[i] / 4294967296), oldKeys[i] % 4294967296)] = oldSums[i];
    }
  };
  return {
    add: (p, q, x) => {
      if (2 * used > keys.length) grow();
      sums[slotOf(p, q)] += x;
    },
    get: (p, q) => sums[slotOf(p, q)],
  };
}
