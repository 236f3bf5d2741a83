/**
 * Bounds `a·d + b` on a function of a direction, and the unit d at which the greatest of them is least.
 *
 * The greatest of the bounds is least, at least nearby, only where one bound lies at its own lowest direction, where
 * two are equal and lowest along the circle on which they are, or where three meet. All such places at which no
 * other bound lies higher are kept; a new bound takes those away that it rises above, and brings those that it is
 * part of. The lowest of them is the answer, wherever on the sphere it lies.
 *
 * There is one for each thread: its functions made once, with arrays that are constants to the compiler, take two
 * thirds of the time of functions made for every use.
 */
export interface LeastOnSphere {
  /** Forgets all bounds. @param least values below this need not be told apart */
  start(nx: number, ny: number, nz: number, least: number): void;
  /**
   * Takes a bound in.
   *
   * @param from (.. 4 ..) a and b from index `at`: four numbers with a fraction would each be boxed
   * @returns whether it rises above the answer so far, which is then another
   */
  add(from: Float64Array, at: number): boolean;
  /** Whether a bound rises above the answer. */
  isBroken(from: Float64Array, at: number): boolean;
  /** (3) unit, the answer */
  readonly direction: Float64Array;
  /** first the greatest bound at the answer, but no less than `least`; Infinity where bounds leave no direction */
  readonly level: Float64Array;
}

/** More bounds than one search adds; places kept, at most. */
const MOST_BOUNDS = 256;
const MOST_PLACES = 4 * MOST_BOUNDS;
const PARALLEL = 1e-14;
/** Share by which two values may differ and still be equals. */
const SAME = 1e-9;
/** Share of a bound's slope below which it is level along a circle. */
const LEVEL = 1e-9;

/** (4 each) a, b */
const bound = new Float64Array(4 * MOST_BOUNDS + 4);
/** (4 each) direction, height */
const place = new Float64Array(4 * MOST_PLACES);
/** (3 each) bounds that meet at each place; -1: fewer than three */
const meet = new Int32Array(3 * MOST_PLACES);
const isHeld = new Uint8Array(MOST_BOUNDS + 1),
  moved = new Int32Array(MOST_BOUNDS + 1);
/** pairs of bounds that met where the newest rises above them: with those it meets in new places */
const pairs = new Int32Array(MOST_BOUNDS * MOST_BOUNDS),
  isPaired = new Uint8Array(MOST_BOUNDS * MOST_BOUNDS);
const direction = new Float64Array(3);
/** greatest bound at the answer; least that is told. In an array, as numbers that change cost an allocation each. */
const level = new Float64Array(2);
let pairCount = 0;
let bounds = 0,
  places = 0;

/** Keeps a place on the newest bound where none of the others lies higher. */
function offer(x: number, y: number, z: number, j: number, k: number): void {
  const end = 4 * bounds;
  const own = bound[end] * x + bound[end + 1] * y + bound[end + 2] * z + bound[end + 3],
    limit = own + SAME * (Math.abs(own) + level[1]);
  for (let o = 0; o < end; o += 4)
    if (bound[o] * x + bound[o + 1] * y + bound[o + 2] * z + bound[o + 3] > limit) return;
  if (places === MOST_PLACES) return;
  const p = 4 * places,
    m = 3 * places;
  place[p] = x;
  place[p + 1] = y;
  place[p + 2] = z;
  place[p + 3] = own;
  meet[m] = bounds;
  meet[m + 1] = j;
  meet[m + 2] = k;
  places++;
}

/** The lowest direction of the newest bound on the circle where it equals bound j. */
function offerOnCircle(j: number): void {
  const o = 4 * bounds,
    i = 4 * j;
  const ax = bound[o],
    ay = bound[o + 1],
    az = bound[o + 2];
  let ux = ax - bound[i],
    uy = ay - bound[i + 1],
    uz = az - bound[i + 2];
  const square = ux * ux + uy * uy + uz * uz,
    off = bound[i + 3] - bound[o + 3];
  if (!(off * off < square)) return;
  const apart = Math.sqrt(square),
    k = off / apart;
  ux /= apart;
  uy /= apart;
  uz /= apart;
  const along = -(ax * ux + ay * uy + az * uz);
  let dx = -ax - along * ux,
    dy = -ay - along * uy,
    dz = -az - along * uz;
  // Where the bound is nearly level all round, what rounding left along u would outgrow the rest.
  const left = dx * ux + dy * uy + dz * uz;
  dx -= left * ux;
  dy -= left * uy;
  dz -= left * uz;
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
}

/** Where the newest bound equals j and k: a line through the sphere. */
function offerMeeting(j: number, k: number): void {
  const n = 4 * bounds,
    a = 4 * j,
    c = 4 * k;
  const px = bound[n] - bound[a],
    py = bound[n + 1] - bound[a + 1],
    pz = bound[n + 2] - bound[a + 2],
    p = bound[a + 3] - bound[n + 3];
  const qx = bound[n] - bound[c],
    qy = bound[n + 1] - bound[c + 1],
    qz = bound[n + 2] - bound[c + 2],
    q = bound[c + 3] - bound[n + 3];
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
}

function notePair(j: number, k: number): void {
  if (j < 0 || k < 0) return;
  const at = j < k ? j * MOST_BOUNDS + k : k * MOST_BOUNDS + j;
  if (isPaired[at] === 1) return;
  isPaired[at] = 1;
  pairs[pairCount++] = at;
}

/** Takes away the places above which the newest bound rises. */
function prune(): void {
  const o = 4 * bounds;
  const ax = bound[o],
    ay = bound[o + 1],
    az = bound[o + 2],
    b = bound[o + 3],
    floor = level[1];
  let kept = 0;
  for (let i = 0; i < places; i++) {
    const p = 4 * i,
      m = 3 * i;
    const height = place[p + 3];
    if (
      ax * place[p] + ay * place[p + 1] + az * place[p + 2] + b >
      height + SAME * (Math.abs(height) + floor)
    ) {
      notePair(meet[m], meet[m + 1]);
      notePair(meet[m + 1], meet[m + 2]);
      notePair(meet[m + 2], meet[m]);
      continue;
    }
    if (kept !== i) {
      const q = 4 * kept,
        l = 3 * kept;
      place[q] = place[p];
      place[q + 1] = place[p + 1];
      place[q + 2] = place[p + 2];
      place[q + 3] = height;
      meet[l] = meet[m];
      meet[l + 1] = meet[m + 1];
      meet[l + 2] = meet[m + 2];
    }
    kept++;
  }
  places = kept;
}

function offerAll(): void {
  const o = 4 * bounds;
  const size = Math.sqrt(bound[o] ** 2 + bound[o + 1] ** 2 + bound[o + 2] ** 2);
  if (size > 0) offer(-bound[o] / size, -bound[o + 1] / size, -bound[o + 2] / size, -1, -1);
  for (let j = 0; j < bounds; j++) offerOnCircle(j);
  for (let i = 0; i < pairCount; i++) {
    isPaired[pairs[i]] = 0;
    offerMeeting((pairs[i] / MOST_BOUNDS) | 0, pairs[i] % MOST_BOUNDS);
  }
  pairCount = 0;
}

/** Forgets bounds that lie below the others everywhere: those rise only. */
function forget(): void {
  const meetings = 3 * places;
  for (let i = 0; i < meetings; i++) if (meet[i] >= 0) isHeld[meet[i]] = 1;
  let kept = 0;
  for (let i = 0; i < bounds; i++) {
    if (isHeld[i] === 0) continue;
    isHeld[i] = 0;
    moved[i] = kept;
    if (kept !== i) for (let c = 0; c < 4; c++) bound[4 * kept + c] = bound[4 * i + c];
    kept++;
  }
  if (kept === bounds) return;
  for (let i = 0; i < meetings; i++) if (meet[i] >= 0) meet[i] = moved[meet[i]];
  bounds = kept;
}

/** The lowest place; of equals the highest in space. */
function choose(): void {
  const floor = level[1];
  let best = Infinity,
    at = -1;
  for (let p = 0; p < 4 * places; p += 4) {
    const own = Math.max(floor, place[p + 3]);
    if (own > best * (1 + SAME) || (own >= best * (1 - SAME) && place[p + 2] <= place[at + 2])) continue;
    best = own;
    at = p;
  }
  level[0] = best;
  if (at < 0) return;
  direction[0] = place[at];
  direction[1] = place[at + 1];
  direction[2] = place[at + 2];
}

function isBroken(from: Float64Array, at: number): boolean {
  return (
    from[at] * direction[0] + from[at + 1] * direction[1] + from[at + 2] * direction[2] + from[at + 3] >
    level[0]
  );
}

export const SPHERE: LeastOnSphere = {
  direction,
  level,
  start: (nx, ny, nz, least) => {
    bounds = places = 0;
    level[0] = level[1] = least;
    direction[0] = nx;
    direction[1] = ny;
    direction[2] = nz;
  },
  isBroken,
  add: (from, at) => {
    const broken = isBroken(from, at);
    const o = 4 * bounds;
    for (let c = 0; c < 4; c++) bound[o + c] = from[at + c];
    prune();
    offerAll();
    bounds++;
    forget();
    if (broken) choose();
    return broken;
  },
};
