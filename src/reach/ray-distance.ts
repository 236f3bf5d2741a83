/** What `triangleRayDistance` found: squared distance, the point of the triangle, the height on the ray. */
export interface RayContact {
  squared: number;
  x: number;
  y: number;
  z: number;
}

/**
 * Shortest distance between a triangle and the half-line that rises from a point along +Z.
 *
 * A ball-nose cutter is that half-line thickened by its radius: ball and shaft in one. For a point q of the
 * triangle the squared distance is its horizontal part plus min(0, q.z - c.z)²; it is convex over the
 * triangle, so a least point of the part below the point c that lies strictly below is the least of all, and
 * otherwise the least lies in the part above, seen in plan.
 *
 * @param t (9 ..) corners, from index `o`
 * @param from (3) the point: three numbers with a fraction would each be boxed for every facet
 * @param out filled in
 */
export function triangleRayDistance(t: Float32Array, o: number, from: Float64Array, out: RayContact): void {
  const low = Math.min(t[o + 2], t[o + 5], t[o + 8]);
  if (low >= from[2]) {
    planDistance(t, o, from, out);
    return;
  }
  closestPoint(t, o, from, out);
  if (out.z > from[2]) clippedPlanDistance(t, o, from, out);
}

/**
 * Closest point of a triangle to a point, by Voronoi regions (Ericson, Real-Time Collision Detection, 5.1.5).
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: the seven cases of one triangle, on locals.
function closestPoint(t: Float32Array, o: number, from: Float64Array, out: RayContact): void {
  const px = from[0],
    py = from[1],
    pz = from[2];
  const ax = t[o],
    ay = t[o + 1],
    az = t[o + 2];
  const abx = t[o + 3] - ax,
    aby = t[o + 4] - ay,
    abz = t[o + 5] - az;
  const acx = t[o + 6] - ax,
    acy = t[o + 7] - ay,
    acz = t[o + 8] - az;
  const apx = px - ax,
    apy = py - ay,
    apz = pz - az;
  const d1 = abx * apx + aby * apy + abz * apz,
    d2 = acx * apx + acy * apy + acz * apz;
  let v = 0,
    w = 0;
  if (d1 > 0 || d2 > 0) {
    const abab = abx * abx + aby * aby + abz * abz,
      abac = abx * acx + aby * acy + abz * acz;
    const acac = acx * acx + acy * acy + acz * acz;
    const d3 = d1 - abab,
      d4 = d2 - abac,
      d5 = d1 - abac,
      d6 = d2 - acac;
    const vc = d1 * d4 - d3 * d2,
      vb = d5 * d2 - d1 * d6,
      va = d3 * d6 - d5 * d4;
    if (d3 >= 0 && d4 <= d3) {
      v = 1;
    } else if (vc <= 0 && d1 >= 0 && d3 <= 0) {
      v = abab > 0 ? d1 / abab : 0;
    } else if (d6 >= 0 && d5 <= d6) {
      w = 1;
    } else if (vb <= 0 && d2 >= 0 && d6 <= 0) {
      w = acac > 0 ? d2 / acac : 0;
    } else if (va <= 0 && d4 - d3 >= 0 && d5 - d6 >= 0) {
      w = (d4 - d3) / (d4 - d3 + (d5 - d6));
      v = 1 - w;
    } else {
      const denominator = va + vb + vc;
      v = vb / denominator;
      w = vc / denominator;
    }
  }
  out.x = ax + v * abx + w * acx;
  out.y = ay + v * aby + w * acy;
  out.z = az + v * abz + w * acz;
  const dx = px - out.x,
    dy = py - out.y,
    dz = pz - out.z;
  out.squared = dx * dx + dy * dy + dz * dz;
}

/** Closest point in plan of a triangle that lies wholly above: 0 where the ray pierces it. */
function planDistance(t: Float32Array, o: number, from: Float64Array, out: RayContact): void {
  const cx = from[0],
    cy = from[1];
  out.squared = Infinity;
  const area = (t[o + 3] - t[o]) * (t[o + 7] - t[o + 1]) - (t[o + 4] - t[o + 1]) * (t[o + 6] - t[o]);
  let inside = area !== 0;
  for (let k = 0; k < 3; k++) {
    const i = o + 3 * k,
      j = o + 3 * ((k + 1) % 3);
    const turn = (t[j] - t[i]) * (cy - t[i + 1]) - (t[j + 1] - t[i + 1]) * (cx - t[i]);
    if (turn * area < 0) inside = false;
    edgeInPlan(t[i], t[i + 1], t[i + 2], t[j], t[j + 1], t[j + 2], cx, cy, out);
  }
  if (inside) pierce(t, o, cx, cy, area, out);
}

/** As `planDistance`, of the part of the triangle at or above the point. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one clipping, on locals.
function clippedPlanDistance(t: Float32Array, o: number, from: Float64Array, out: RayContact): void {
  const cx = from[0],
    cy = from[1],
    cz = from[2];
  out.squared = Infinity;
  let fromX = 0,
    fromY = 0,
    ends = 0;
  for (let k = 0; k < 3; k++) {
    const i = o + 3 * k,
      j = o + 3 * ((k + 1) % 3);
    let ax = t[i],
      ay = t[i + 1],
      az = t[i + 2],
      bx = t[j],
      by = t[j + 1],
      bz = t[j + 2];
    if (az < cz && bz < cz) continue;
    if (az < cz || bz < cz) {
      const s = (cz - az) / (bz - az);
      const x = ax + s * (bx - ax),
        y = ay + s * (by - ay);
      if (az < cz) {
        ax = x;
        ay = y;
        az = cz;
      } else {
        bx = x;
        by = y;
        bz = cz;
      }
      if (ends++ === 0) {
        fromX = x;
        fromY = y;
      } else edgeInPlan(fromX, fromY, cz, x, y, cz, cx, cy, out);
    }
    edgeInPlan(ax, ay, az, bx, by, bz, cx, cy, out);
  }
  const area = (t[o + 3] - t[o]) * (t[o + 7] - t[o + 1]) - (t[o + 4] - t[o + 1]) * (t[o + 6] - t[o]);
  if (area === 0) return;
  for (let k = 0; k < 3; k++) {
    const i = o + 3 * k,
      j = o + 3 * ((k + 1) % 3);
    const turn = (t[j] - t[i]) * (cy - t[i + 1]) - (t[j + 1] - t[i + 1]) * (cx - t[i]);
    if (turn * area < 0) return;
  }
  const best = out.squared,
    x = out.x,
    y = out.y,
    z = out.z;
  pierce(t, o, cx, cy, area, out);
  if (out.z < cz) {
    out.squared = best;
    out.x = x;
    out.y = y;
    out.z = z;
  }
}

function edgeInPlan(
  ax: number,
  ay: number,
  az: number,
  bx: number,
  by: number,
  bz: number,
  cx: number,
  cy: number,
  out: RayContact,
): void {
  const ex = bx - ax,
    ey = by - ay;
  const length = ex * ex + ey * ey;
  let s = length > 0 ? ((cx - ax) * ex + (cy - ay) * ey) / length : 0;
  // biome-ignore lint/complexity/useMathMinMax: two comparisons in the innermost loop.
  s = s < 0 ? 0 : s > 1 ? 1 : s;
  const x = ax + s * ex,
    y = ay + s * ey;
  const squared = (cx - x) * (cx - x) + (cy - y) * (cy - y);
  if (squared >= out.squared) return;
  out.squared = squared;
  out.x = x;
  out.y = y;
  out.z = az + s * (bz - az);
}

function pierce(t: Float32Array, o: number, cx: number, cy: number, area: number, out: RayContact): void {
  const v = ((cx - t[o]) * (t[o + 7] - t[o + 1]) - (cy - t[o + 1]) * (t[o + 6] - t[o])) / area;
  const w = ((t[o + 3] - t[o]) * (cy - t[o + 1]) - (t[o + 4] - t[o + 1]) * (cx - t[o])) / area;
  out.squared = 0;
  out.x = cx;
  out.y = cy;
  out.z = t[o + 2] + v * (t[o + 5] - t[o + 2]) + w * (t[o + 8] - t[o + 2]);
}
