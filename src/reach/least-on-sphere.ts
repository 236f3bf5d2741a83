/**
 * Bounds `a·d + b` on a function of a direction, and the unit d at which the greatest of them is least.
 *
 * At the least, one bound lies at its own lowest direction, or two are equal and lowest along the circle where
 * they are, or three meet. A new bound that the answer breaks is one of those that hold the next answer, so only
 * candidates with it are tried, each against all bounds: exact, since the best of all candidates is the answer.
 */
export interface LeastOnSphere {
  /** Forgets all bounds; the answer is n. */
  start(nx: number, ny: number, nz: number): void;
  /** Sets bound i, up to `CAPACITY`; the answer does not change until `solve`. */
  set(i: number, ax: number, ay: number, az: number, b: number): void;
  /**
   * Takes the bounds `from` to `count - 1` into the answer; those before already are.
   *
   * @param least values below this need not be told apart
   */
  solve(from: number, count: number, least: number): void;
  /** Value of bound i at the answer. */
  at(i: number): number;
  /** (3) unit, the answer */
  readonly direction: Float64Array;
  /** greatest bound at the answer, but no less than `least` */
  readonly value: number;
}

/** Bounds at most. */
export const CAPACITY = 14;
const PARALLEL = 1e-12;
/** Share by which two answers may differ and still be equals. */
const SAME = 1e-9;
/** Share of a bound's slope below which it is level along a circle. */
const LEVEL = 1e-9;

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: the inner functions share the bounds and the answer
export function leastOnSphere(): LeastOnSphere {
  const ax = new Float64Array(CAPACITY),
    ay = new Float64Array(CAPACITY),
    az = new Float64Array(CAPACITY);
  const b = new Float64Array(CAPACITY);
  const direction = new Float64Array(3);
  let isTight = false;
  let nx = 0,
    ny = 0,
    nz = 1,
    value = 0;
  let best = Infinity,
    bestX = 0,
    bestY = 0,
    bestZ = 0,
    known = 0;

  const heightOf = (i: number, x: number, y: number, z: number): number =>
    ax[i] * x + ay[i] * y + az[i] * z + b[i];
  /** Keeps a candidate on bound i if it is the best so far in all bounds known. */
  const offer = (i: number, x: number, y: number, z: number): void => {
    const own = heightOf(i, x, y, z);
    let most = own;
    // Of equals the higher one.
    const limit = z > bestZ ? best * (1 + SAME) : best * (1 - SAME);
    if (!(most < limit)) return;
    for (let k = 0; k < known; k++) {
      const other = heightOf(k, x, y, z);
      if (other > most) {
        if (other >= limit) return;
        most = other;
      }
    }
    best = most;
    bestX = x;
    bestY = y;
    bestZ = z;
    isTight = most <= own * (1 + SAME);
  };
  const offerAlone = (i: number): void => {
    const size = Math.sqrt(ax[i] * ax[i] + ay[i] * ay[i] + az[i] * az[i]);
    if (size > 0) offer(i, -ax[i] / size, -ay[i] / size, -az[i] / size);
  };
  /** The lowest direction on the circle u·d = k, u unit: away from what of `a` lies in its plane. */
  const offerOnCircle = (i: number, ux: number, uy: number, uz: number, k: number): void => {
    if (!(k * k < 1)) return;
    let x = -ax[i],
      y = -ay[i],
      z = -az[i];
    const along = x * ux + y * uy + z * uz;
    x -= along * ux;
    y -= along * uy;
    z -= along * uz;
    let size = Math.sqrt(x * x + y * y + z * z);
    if (size <= LEVEL * Math.abs(along)) {
      // Level all round: upwards, since what lies above a free place is free.
      const flat = 1 - uz * uz < LEVEL;
      x = flat ? 1 - ux * ux : -uz * ux;
      y = flat ? -ux * uy : -uz * uy;
      z = flat ? -ux * uz : 1 - uz * uz;
      size = Math.sqrt(x * x + y * y + z * z);
    }
    const scale = Math.sqrt(1 - k * k) / size;
    offer(i, k * ux + scale * x, k * uy + scale * y, k * uz + scale * z);
  };
  /** Where bound i equals j and k: a line through the sphere. */
  const offerMeeting = (i: number, j: number, k: number): void => {
    const px = ax[i] - ax[j],
      py = ay[i] - ay[j],
      pz = az[i] - az[j],
      p = b[j] - b[i];
    const qx = ax[i] - ax[k],
      qy = ay[i] - ay[k],
      qz = az[i] - az[k],
      q = b[k] - b[i];
    const vx = py * qz - pz * qy,
      vy = pz * qx - px * qz,
      vz = px * qy - py * qx;
    const square = vx * vx + vy * vy + vz * vz;
    if (!(square > PARALLEL * (px * px + py * py + pz * pz) * (qx * qx + qy * qy + qz * qz))) return;
    const x = (p * (qy * vz - qz * vy) + q * (vy * pz - vz * py)) / square;
    const y = (p * (qz * vx - qx * vz) + q * (vz * px - vx * pz)) / square;
    const z = (p * (qx * vy - qy * vx) + q * (vx * py - vy * px)) / square;
    const rest = 1 - x * x - y * y - z * z;
    if (!(rest >= 0)) return;
    const s = Math.sqrt(rest / square);
    offer(i, x + s * vx, y + s * vy, z + s * vz);
    offer(i, x - s * vx, y - s * vy, z - s * vz);
  };
  const takeIn = (i: number): void => {
    best = Infinity;
    bestZ = -1;
    isTight = false;
    known = i + 1;
    offerAlone(i);
    // Where no other bound lies higher, that is the least already: more need not be tried.
    for (let j = 0; j < i && (j > 0 || !isTight); j++) {
      const ux = ax[i] - ax[j],
        uy = ay[i] - ay[j],
        uz = az[i] - az[j];
      const size = Math.sqrt(ux * ux + uy * uy + uz * uz);
      if (size > 0) offerOnCircle(i, ux / size, uy / size, uz / size, (b[j] - b[i]) / size);
    }
    for (let j = 1; j < i && !isTight; j++) for (let k = 0; k < j; k++) offerMeeting(i, j, k);
    // Bounds that coincide but for rounding offer nothing better than what is known.
    if (best === Infinity) return;
    direction[0] = bestX;
    direction[1] = bestY;
    direction[2] = bestZ;
  };

  return {
    direction,
    get value() {
      return value;
    },
    start: (x, y, z) => {
      nx = x;
      ny = y;
      nz = z;
      direction[0] = x;
      direction[1] = y;
      direction[2] = z;
      value = 0;
    },
    set: (i, x, y, z, constant) => {
      ax[i] = x;
      ay[i] = y;
      az[i] = z;
      b[i] = constant;
    },
    at: (i) => heightOf(i, direction[0], direction[1], direction[2]),
    solve: (from, count, least) => {
      if (from === 0) {
        direction[0] = nx;
        direction[1] = ny;
        direction[2] = nz;
        value = least;
      }
      for (let i = from; i < count; i++) {
        const here = heightOf(i, direction[0], direction[1], direction[2]);
        if (here <= value) continue;
        takeIn(i);
        value = Math.max(least, best < Infinity ? best : here);
      }
    },
  };
}
