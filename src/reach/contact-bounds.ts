import type { BallContact } from './ball-contact.js';

/** Which cutters still miss one point of the part. */
export interface ContactBounds {
  /**
   * Largest radius up to `most` at which a ball-nose cutter that lies on p's tangent plane, or leaves it, can
   * miss the contact while it leaves p by no more than the tolerance; Infinity if no radius meets it.
   *
   * The centre that gets furthest away from a contact q lies in the plane at its radius, `p + R n + w u`: u
   * in the plane away from q and `w = sqrt(2 R t + t²)`, where it leaves p by just t. For the ball, `|c - q|
   * = R - allowed` is then quadratic in w. The shaft counts in plan only.
   */
  radius(
    contact: BallContact,
    px: number,
    py: number,
    pz: number,
    nx: number,
    ny: number,
    nz: number,
    most: number,
  ): number;
  /** (3) the centre of the last radius, from p */
  readonly centre: Float64Array;
}

const SHAFT_STEPS = 14;

/** @param t tolerance, mm */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function contactBounds(t: number): ContactBounds {
  const centre = new Float64Array(3);
  const place = (
    r: number,
    w: number,
    nx: number,
    ny: number,
    nz: number,
    ux: number,
    uy: number,
    uz: number,
  ): number => {
    const size = Math.sqrt(ux * ux + uy * uy + uz * uz);
    const along = size > 0 ? w / size : 0;
    centre[0] = r * nx + along * ux;
    centre[1] = r * ny + along * uy;
    centre[2] = r * nz + along * uz;
    return r;
  };

  const ofBall = (
    qx: number,
    qy: number,
    qz: number,
    allowed: number,
    nx: number,
    ny: number,
    nz: number,
  ): number => {
    const above = qx * nx + qy * ny + qz * nz;
    const ux = above * nx - qx,
      uy = above * ny - qy,
      uz = above * nz - qz;
    const across = Math.sqrt(ux * ux + uy * uy + uz * uz);
    const k = (above - allowed) / t;
    if (k <= 1) return Infinity;
    const rest = above * above + across * across - allowed * allowed + k * t * t;
    const w = (across + Math.sqrt(across * across + (k - 1) * Math.max(0, rest))) / (k - 1);
    return place(Math.max(0, (w * w - t * t) / (2 * t)), w, nx, ny, nz, ux, uy, uz);
  };

  /**
   * In plan: a cutter axis at R n + w u must keep R from q, however high q stands above the ball's centre.
   */
  const ofShaft = (
    qx: number,
    qy: number,
    allowed: number,
    nx: number,
    ny: number,
    nz: number,
    most: number,
  ): number => {
    let ux = 0,
      uy = 0,
      uz = 0,
      w = 0;
    const clearance = (r: number): number => {
      const vx = r * nx - qx,
        vy = r * ny - qy;
      const along = vx * nx + vy * ny;
      ux = vx - along * nx;
      uy = vy - along * ny;
      uz = -along * nz;
      w = Math.sqrt(2 * r * t + t * t);
      const size = Math.sqrt(ux * ux + uy * uy + uz * uz);
      const step = size > 0 ? w / size : 0;
      const x = vx + step * ux,
        y = vy + step * uy;
      return Math.sqrt(x * x + y * y) - (r - allowed);
    };
    let high = most,
      atHigh = clearance(most);
    if (atHigh >= 0) return Infinity;
    let low = 0,
      atLow = clearance(0),
      side = 0;
    if (!(atLow > 0)) return place(0, 0, nx, ny, nz, 0, 0, 0);
    for (let i = 0; i < SHAFT_STEPS && high - low > 1e-5 * high; i++) {
      const r = low + ((high - low) * atLow) / (atLow - atHigh);
      const value = clearance(r);
      if (value < 0) {
        if (side === 1) atLow *= 0.5;
        side = 1;
        high = r;
        atHigh = value;
      } else {
        if (side === -1) atHigh *= 0.5;
        side = -1;
        low = r;
        atLow = value;
      }
    }
    clearance(low);
    return place(low, w, nx, ny, nz, ux, uy, uz);
  };

  return {
    centre,
    radius: (contact, px, py, pz, nx, ny, nz, most) => {
      const qx = contact.x - px,
        qy = contact.y - py,
        qz = contact.z - pz;
      return contact.onShaft
        ? ofShaft(qx, qy, contact.allowed, nx, ny, nz, most)
        : ofBall(qx, qy, qz, contact.allowed, nx, ny, nz);
    },
  };
}
