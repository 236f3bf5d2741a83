/**
 * Bounds `a·d + b` on a function of a direction, and the unit d at which the greatest of them is least.
 *
 * The greatest of the bounds is least, at least nearby, only where one bound lies at its own lowest direction, where
 * two are equal and lowest along the circle on which they are, or where three meet. All such places at which no
 * other bound lies higher are kept; a new bound takes those away that it rises above, and brings those that it is
 * part of. The lowest of them is the answer, wherever on the sphere it lies.
 */
export interface LeastOnSphere {
  /** Forgets all bounds. @param least values below this need not be told apart */
  start(nx: number, ny: number, nz: number, least: number): void;
  /** Takes a bound in. @returns whether it rises above the answer so far, which is then another */
  add(ax: number, ay: number, az: number, b: number): boolean;
  /** Whether a bound rises above the answer. */
  isBroken(ax: number, ay: number, az: number, b: number): boolean;
  /** (3) unit, the answer */
  readonly direction: Float64Array;
  /** greatest bound at the answer, but no less than `least`; Infinity where bounds leave no direction */
  readonly value: number;
}

/** Bounds, and places kept, at most. */
const MOST_BOUNDS = 96;
const MOST_PLACES = 4 * MOST_BOUNDS;
const PARALLEL = 1e-14;
/** Share by which two values may differ and still be equals. */
const SAME = 1e-9;
/** Share of a bound's slope below which it is level along a circle. */
const LEVEL = 1e-9;

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: the inner functions share the bounds and the places
export function leastOnSphere(): LeastOnSphere {
  const ax = new Float64Array(MOST_BOUNDS),
    ay = new Float64Array(MOST_BOUNDS),
    az = new Float64Array(MOST_BOUNDS),
    b = new Float64Array(MOST_BOUNDS);
  const x = new Float64Array(MOST_PLACES),
    y = new Float64Array(MOST_PLACES),
    z = new Float64Array(MOST_PLACES),
    height = new Float64Array(MOST_PLACES);
  /** bounds that meet at each place; -1: fewer than three */
  const meet = new Int32Array(3 * MOST_PLACES);
  const isHeld = new Uint8Array(MOST_BOUNDS),
    moved = new Int32Array(MOST_BOUNDS);
  /** pairs of bounds that met where the newest rises above them: with those it meets in new places */
  const pairs = new Int32Array(MOST_BOUNDS * MOST_BOUNDS),
    isPaired = new Uint8Array(MOST_BOUNDS * MOST_BOUNDS);
  const direction = new Float64Array(3);
  let pairCount = 0;
  let bounds = 0,
    places = 0,
    floor = 0,
    value = 0;

  const heightOf = (i: number, px: number, py: number, pz: number): number =>
    ax[i] * px + ay[i] * py + az[i] * pz + b[i];
  /** Keeps a place on the newest bound where none of the others lies higher. */
  const offer = (px: number, py: number, pz: number, j: number, k: number): void => {
    const own = heightOf(bounds, px, py, pz),
      limit = own + SAME * (Math.abs(own) + floor);
    for (let k = 0; k < bounds; k++) if (heightOf(k, px, py, pz) > limit) return;
    if (places === MOST_PLACES) return;
    x[places] = px;
    y[places] = py;
    z[places] = pz;
    meet[3 * places] = bounds;
    meet[3 * places + 1] = j;
    meet[3 * places + 2] = k;
    height[places++] = own;
  };
  /** The lowest direction of the newest bound on the circle u·d = k, u unit. */
  const offerOnCircle = (j: number, ux: number, uy: number, uz: number, k: number): void => {
    if (!(k * k < 1)) return;
    let dx = -ax[bounds],
      dy = -ay[bounds],
      dz = -az[bounds];
    const along = dx * ux + dy * uy + dz * uz;
    dx -= along * ux;
    dy -= along * uy;
    dz -= along * uz;
    let size = Math.sqrt(dx * dx + dy * dy + dz * dz);
    if (size <= LEVEL * Math.abs(along)) {
      // Level all round: upwards, since what lies above a free place is free.
      const flat = 1 - uz * uz < LEVEL;
      dx = flat ? 1 - ux * ux : -uz * ux;
      dy = flat ? -ux * uy : -uz * uy;
      dz = flat ? -ux * uz : 1 - uz * uz;
      size = Math.sqrt(dx * dx + dy * dy + dz * dz);
    }
    const scale = Math.sqrt(1 - k * k) / size;
    offer(k * ux + scale * dx, k * uy + scale * dy, k * uz + scale * dz, j, -1);
  };
  /** Where the newest bound equals j and k: a line through the sphere. */
  const offerMeeting = (j: number, k: number): void => {
    const px = ax[bounds] - ax[j],
      py = ay[bounds] - ay[j],
      pz = az[bounds] - az[j],
      p = b[j] - b[bounds];
    const qx = ax[bounds] - ax[k],
      qy = ay[bounds] - ay[k],
      qz = az[bounds] - az[k],
      q = b[k] - b[bounds];
    const vx = py * qz - pz * qy,
      vy = pz * qx - px * qz,
      vz = px * qy - py * qx;
    const square = vx * vx + vy * vy + vz * vz;
    if (!(square > PARALLEL * (px * px + py * py + pz * pz) * (qx * qx + qy * qy + qz * qz))) return;
    const mx = (p * (qy * vz - qz * vy) + q * (vy * pz - vz * py)) / square,
      my = (p * (qz * vx - qx * vz) + q * (vz * px - vx * pz)) / square,
      mz = (p * (qx * vy - qy * vx) + q * (vx * py - vy * px)) / square;
    const rest = 1 - mx * mx - my * my - mz * mz;
    if (!(rest >= 0)) return;
    const s = Math.sqrt(rest / square);
    offer(mx + s * vx, my + s * vy, mz + s * vz, j, k);
    offer(mx - s * vx, my - s * vy, mz - s * vz, j, k);
  };
  const notePair = (j: number, k: number): void => {
    if (j < 0 || k < 0) return;
    const at = j < k ? j * MOST_BOUNDS + k : k * MOST_BOUNDS + j;
    if (isPaired[at] === 1) return;
    isPaired[at] = 1;
    pairs[pairCount++] = at;
  };
  /** Takes away the places above which the newest bound rises. */
  const prune = (): void => {
    let kept = 0;
    for (let i = 0; i < places; i++) {
      if (heightOf(bounds, x[i], y[i], z[i]) > height[i] + SAME * (Math.abs(height[i]) + floor)) {
        for (let k = 0; k < 3; k++) notePair(meet[3 * i + k], meet[3 * i + ((k + 1) % 3)]);
        continue;
      }
      x[kept] = x[i];
      y[kept] = y[i];
      z[kept] = z[i];
      for (let k = 0; k < 3; k++) meet[3 * kept + k] = meet[3 * i + k];
      height[kept++] = height[i];
    }
    places = kept;
  };
  const offerAll = (): void => {
    const size = Math.sqrt(ax[bounds] ** 2 + ay[bounds] ** 2 + az[bounds] ** 2);
    if (size > 0) offer(-ax[bounds] / size, -ay[bounds] / size, -az[bounds] / size, -1, -1);
    for (let j = 0; j < bounds; j++) {
      const ux = ax[bounds] - ax[j],
        uy = ay[bounds] - ay[j],
        uz = az[bounds] - az[j];
      const apart = Math.sqrt(ux * ux + uy * uy + uz * uz);
      if (apart > 0) offerOnCircle(j, ux / apart, uy / apart, uz / apart, (b[j] - b[bounds]) / apart);
    }
    for (let i = 0; i < pairCount; i++) {
      isPaired[pairs[i]] = 0;
      offerMeeting((pairs[i] / MOST_BOUNDS) | 0, pairs[i] % MOST_BOUNDS);
    }
    pairCount = 0;
  };
  /** Forgets bounds that lie below the others everywhere: those rise only. */
  const forget = (): void => {
    for (let i = 0; i < 3 * places; i++) if (meet[i] >= 0) isHeld[meet[i]] = 1;
    let kept = 0;
    for (let i = 0; i < bounds; i++) {
      if (isHeld[i] === 0) continue;
      isHeld[i] = 0;
      moved[i] = kept;
      ax[kept] = ax[i];
      ay[kept] = ay[i];
      az[kept] = az[i];
      b[kept++] = b[i];
    }
    if (kept === bounds) return;
    for (let i = 0; i < 3 * places; i++) if (meet[i] >= 0) meet[i] = moved[meet[i]];
    bounds = kept;
  };
  /** The lowest place; of equals the highest in space. */
  const choose = (): void => {
    let best = Infinity,
      at = -1;
    for (let i = 0; i < places; i++) {
      const own = Math.max(floor, height[i]);
      if (own > best * (1 + SAME) || (own >= best * (1 - SAME) && z[i] <= z[at])) continue;
      best = own;
      at = i;
    }
    value = best;
    if (at < 0) return;
    direction[0] = x[at];
    direction[1] = y[at];
    direction[2] = z[at];
  };
  return {
    direction,
    get value() {
      return value;
    },
    start: (nx, ny, nz, least) => {
      bounds = places = 0;
      floor = value = least;
      direction[0] = nx;
      direction[1] = ny;
      direction[2] = nz;
    },
    isBroken: (px, py, pz, constant) =>
      px * direction[0] + py * direction[1] + pz * direction[2] + constant > value,
    add: (px, py, pz, constant) => {
      const isBroken = px * direction[0] + py * direction[1] + pz * direction[2] + constant > value;
      ax[bounds] = px;
      ay[bounds] = py;
      az[bounds] = pz;
      b[bounds] = constant;
      prune();
      offerAll();
      bounds++;
      forget();
      if (isBroken) choose();
      return isBroken;
    },
  };
}
