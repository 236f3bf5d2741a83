/** Line segments in plan: (4 S) x and y of both ends, mm. */
export type Segments = Float64Array;

/**
 * Calls `visit` for each pair of segments (the lower number first) that meet other than by sharing an end: that cross,
 * touch within a hair, or lie on each other. A sweep over x with a scan of y.
 *
 * @param hairMm segments this near to each other count as touching
 * @param visit stops the search by returning true
 */
export function findCrossings(segments: Segments, hairMm: number, visit: (s: number, t: number) => boolean): void {
  const count = segments.length / 4;
  const low = new Float64Array(count), high = new Float64Array(count);
  for (let s = 0; s < count; s++) {
    low[s] = Math.min(segments[4 * s], segments[4 * s + 2]);
    high[s] = Math.max(segments[4 * s], segments[4 * s + 2]);
  }
  const order = Array.from(low, (_, s) => s).sort((a, b) => low[a] - low[b] || a - b);
  for (let i = 0; i < count; i++) {
    const s = order[i];
    const bottom = Math.min(segments[4 * s + 1], segments[4 * s + 3]) - hairMm;
    const top = Math.max(segments[4 * s + 1], segments[4 * s + 3]) + hairMm;
    for (let j = i + 1; j < count && low[order[j]] <= high[s] + hairMm; j++) {
      const t = order[j];
      const ay = segments[4 * t + 1], by = segments[4 * t + 3];
      if ((ay < bottom && by < bottom) || (ay > top && by > top)) continue;
      if (meet(segments, s, t, hairMm) && visit(Math.min(s, t), Math.max(s, t))) return;
    }
  }
}

function meet(segments: Segments, s: number, t: number, hair: number): boolean {
  const [ax, ay, bx, by] = segments.subarray(4 * s, 4 * s + 4);
  const [cx, cy, dx, dy] = segments.subarray(4 * t, 4 * t + 4);
  const shared = Number(ax === cx && ay === cy) + Number(ax === dx && ay === dy)
    + Number(bx === cx && by === cy) + Number(bx === dx && by === dy);
  if (shared >= 2) return true;
  if (shared === 1) return overlapFromSharedEnd(segments, s, t, hair);
  const side = (px: number, py: number, qx: number, qy: number, x: number, y: number) =>
    (qx - px) * (y - py) - (qy - py) * (x - px);
  const abc = side(ax, ay, bx, by, cx, cy), abd = side(ax, ay, bx, by, dx, dy);
  const cda = side(cx, cy, dx, dy, ax, ay), cdb = side(cx, cy, dx, dy, bx, by);
  if (abc > 0 !== abd > 0 && cda > 0 !== cdb > 0 && abc !== abd && cda !== cdb) return true;
  return nearSegment(ax, ay, cx, cy, dx, dy, hair) || nearSegment(bx, by, cx, cy, dx, dy, hair)
    || nearSegment(cx, cy, ax, ay, bx, by, hair) || nearSegment(dx, dy, ax, ay, bx, by, hair);
}

/** Two segments that leave one point meet again only if they run the same way. */
function overlapFromSharedEnd(segments: Segments, s: number, t: number, hair: number): boolean {
  const [ax, ay, bx, by] = segments.subarray(4 * s, 4 * s + 4);
  const [cx, cy, dx, dy] = segments.subarray(4 * t, 4 * t + 4);
  const fromA = (ax === cx && ay === cy) || (ax === dx && ay === dy);
  const fromC = (cx === ax && cy === ay) || (cx === bx && cy === by);
  const [px, py, qx, qy] = fromA ? [ax, ay, bx, by] : [bx, by, ax, ay];
  const [rx, ry] = fromC ? [dx, dy] : [cx, cy];
  if ((qx - px) * (rx - px) + (qy - py) * (ry - py) <= 0) return false;
  return nearSegment(qx, qy, px, py, rx, ry, hair) || nearSegment(rx, ry, px, py, qx, qy, hair);
}

function nearSegment(x: number, y: number, ax: number, ay: number, bx: number, by: number, limit: number): boolean {
  const ux = bx - ax, uy = by - ay;
  const square = ux * ux + uy * uy;
  const t = square > 0 ? Math.min(1, Math.max(0, ((x - ax) * ux + (y - ay) * uy) / square)) : 0;
  const dx = x - ax - t * ux, dy = y - ay - t * uy;
  return dx * dx + dy * dy <= limit * limit;
}
