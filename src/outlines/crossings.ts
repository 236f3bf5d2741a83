import { leastOf, mostOf } from '../core/bounds.js';
import { listsByRange } from '../core/lists.js';
import { squareToSegment } from './ring-measures.js';

/** Line segments in plan: (4 S) x and y of both ends, mm. */
export type Segments = Float64Array;

/** Strips of y that the search is done in: as many as the root of the number of segments, but no more. */
const MOST_STRIPS = 512;

/**
 * Calls `visit` once for each pair of segments (the lower number first) that meet other than by sharing an
 * end: that cross, touch within a hair, or lie on each other. A sweep over x in each of many strips of y: in
 * one sweep over all, the sides of a large part are compared with nearly everything.
 *
 * @param hairMm segments this near to each other count as touching
 * @param visit stops the search by returning true
 * @param flags (S) pairs whose flags do not add up to `all` bits are passed over; absent: none are
 */
export function findCrossings(
  segments: Segments,
  hairMm: number,
  visit: (s: number, t: number) => boolean,
  flags?: { readonly of: Uint8Array; readonly all: number },
): void {
  const count = segments.length / 4;
  const left = new Float64Array(count),
    right = new Float64Array(count);
  const low = new Float64Array(count),
    high = new Float64Array(count);
  for (let s = 0; s < count; s++) {
    const ax = segments[4 * s],
      ay = segments[4 * s + 1],
      bx = segments[4 * s + 2],
      by = segments[4 * s + 3];
    left[s] = Math.min(ax, bx);
    right[s] = Math.max(ax, bx) + hairMm;
    low[s] = Math.min(ay, by) - hairMm / 2;
    high[s] = Math.max(ay, by) + hairMm / 2;
  }
  const bottom = leastOf(low),
    top = mostOf(high);
  const strips = top > bottom ? Math.min(MOST_STRIPS, Math.ceil(Math.sqrt(count))) : 1;
  const stripOf = (y: number): number =>
    Math.min(strips - 1, Math.max(0, Math.floor((strips * (y - bottom)) / (top - bottom)) || 0));
  const order = Array.from(left, (_, s) => s).sort((a, b) => left[a] - left[b] || a - b);
  const { start, items } = listsByRange(
    order.map((s) => stripOf(low[s])),
    order.map((s) => stripOf(high[s])),
    strips,
  );
  for (let strip = 0; strip < strips; strip++) {
    const own = items.subarray(start[strip], start[strip + 1]).map((i) => order[i]);
    for (let i = 0; i < own.length; i++) {
      const s = own[i];
      for (let j = i + 1; j < own.length && left[own[j]] <= right[s]; j++) {
        const t = own[j];
        if (flags && (flags.of[s] | flags.of[t]) !== flags.all) continue;
        // A pair that shares several strips is looked at in the first.
        if (low[t] > high[s] || low[s] > high[t] || stripOf(Math.max(low[s], low[t])) !== strip) continue;
        if (meet(segments, s, t, hairMm) && visit(Math.min(s, t), Math.max(s, t))) return;
      }
    }
  }
}

function meet(p: Segments, s: number, t: number, hair: number): boolean {
  const i = 4 * s,
    j = 4 * t;
  const ax = p[i],
    ay = p[i + 1],
    bx = p[i + 2],
    by = p[i + 3];
  const cx = p[j],
    cy = p[j + 1],
    dx = p[j + 2],
    dy = p[j + 3];
  const aIsC = ax === cx && ay === cy,
    aIsD = ax === dx && ay === dy;
  const bIsC = bx === cx && by === cy,
    bIsD = bx === dx && by === dy;
  if ((aIsC && bIsD) || (aIsD && bIsC)) return true;
  if (aIsC) return overlapBeyond(ax, ay, bx, by, dx, dy, hair);
  if (aIsD) return overlapBeyond(ax, ay, bx, by, cx, cy, hair);
  if (bIsC) return overlapBeyond(bx, by, ax, ay, dx, dy, hair);
  if (bIsD) return overlapBeyond(bx, by, ax, ay, cx, cy, hair);
  const abc = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax),
    abd = (bx - ax) * (dy - ay) - (by - ay) * (dx - ax);
  const cda = (dx - cx) * (ay - cy) - (dy - cy) * (ax - cx),
    cdb = (dx - cx) * (by - cy) - (dy - cy) * (bx - cx);
  if (abc > 0 !== abd > 0 && cda > 0 !== cdb > 0 && abc !== abd && cda !== cdb) return true;
  const near = Math.min(
    squareToSegment(ax, ay, cx, cy, dx, dy),
    squareToSegment(bx, by, cx, cy, dx, dy),
    squareToSegment(cx, cy, ax, ay, bx, by),
    squareToSegment(dx, dy, ax, ay, bx, by),
  );
  return near <= hair * hair;
}

/** Two segments that leave the point o, for p and for q, meet again only if they run the same way. */
function overlapBeyond(
  ox: number,
  oy: number,
  px: number,
  py: number,
  qx: number,
  qy: number,
  hair: number,
): boolean {
  if ((px - ox) * (qx - ox) + (py - oy) * (qy - oy) <= 0) return false;
  const near = Math.min(squareToSegment(px, py, ox, oy, qx, qy), squareToSegment(qx, qy, ox, oy, px, py));
  return near <= hair * hair;
}
