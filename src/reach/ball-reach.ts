import type { BallContact, BallQuery } from './ball-contact.js';
import { CAPACITY, leastOnSphere } from './least-on-sphere.js';

/** How exact reach must be. */
export interface GapLimits {
  /** a cutter reaches what it misses by no more than this, mm */
  readonly toleranceMm: number;
  /** the cutter may enter the part by this and by a facet's sagitta, mm: rounding and tessellation */
  readonly slackMm: number;
}

export interface BallReach {
  /**
   * Largest radius of a ball-nose cutter that reaches point p of the true surface: that can stand free of the
   * part and miss p by no more than the tolerance.
   *
   * @param n unit normal at p, out of the part
   * @param most the largest radius asked for, mm
   * @param offSurface how far p may stand off the true surface, mm, >= 0; the ball may enter by as much more
   * @returns mm, within 0.01 mm + 1 %, mostly 0.2 %; Infinity if `most` reaches
   */
  radius(
    px: number,
    py: number,
    pz: number,
    nx: number,
    ny: number,
    nz: number,
    most: number,
    offSurface?: number,
  ): number;
  /**
   * Gap between p and the nearest place of a ball-nose cutter of this radius, mm; 0 where it touches.
   *
   * @param enough larger gaps need not be told exactly, mm
   * @returns mm; above `enough` a lower bound; Infinity where no place was found
   */
  gap(
    px: number,
    py: number,
    pz: number,
    nx: number,
    ny: number,
    nz: number,
    radius: number,
    enough: number,
    offSurface?: number,
  ): number;
  /**
   * How much material a ball-nose cutter of this radius leaves over a point p of the part, straight upwards.
   *
   * @param radius the allowance included
   * @param most up to the top of the part, mm: no more is looked for
   * @param stock allowance left on the part, mm: what lies within it is no rest
   * @returns mm, within a quarter of the tolerance or 1 % of itself and of the radius; 0: less
   */
  thickness(px: number, py: number, pz: number, radius: number, most: number, stock: number): number;
  /** (3) ball centre of the last answer, from p, mm */
  readonly centre: Float64Array;
}

/** Contacts asked for, for one point, and once a place was found that might be bettered. */
const MOST_CONTACTS = 60;
const MOST_DOUBTS = 30;
/** An entry this small, in tolerances, is as good as none. */
const NEARLY_FREE = 0.05;
/** Radii below this many tolerances are not told apart: a sharp corner. */
const SHARP_TOLERANCES = 2.5;
/** Contacts of the points before that are looked at first: what holds the cutter at one mostly holds it beside. */
const REMEMBERED = 6;
/** Radius of the ball that looks for the surface where a plane is touched, as a share of the cutter's. */
const FEELER = 0.1;
/** Share of the radius within which the part is looked for there. */
const NEARBY = 0.05;
/** Share by which a bound may lie below the answer and still hold it. */
const HELD = 1e-6;
/** Halvings of the range in which the end of the allowance lies. */
const ALLOWANCE_STEPS = 16;
/** What a gap may be off by, as a share of it. */
const GAP_ACCURACY = 0.02;
/** What a thickness may be off by, as a share of it and of the radius. */
const THICKNESS_ACCURACY = 0.01;
/** First step up, in radii. */
const THIN = 0.05;
/** A bound that no cutter meets, 1/mm. */
const NOWHERE = 1e9;
/** Share of the lean along a line at which nothing clears it, squared. */
const LEANING = 0.98;
/** Radii nearer than this, mm and as a share, are one. */
const ACCURACY = 0.001;

/** A plane is a bound where p does not lie behind it by more than this share of what it may be missed by. */
const IN_SIGHT = 0.999;
/** Square of the rise along an edge, from which on it is upright. */
const UPRIGHT = 1 - 1e-6;

/** Whether a ball of this radius reaches where the largest found to reach is `found`, mm, but for rounding. */
export const isReached = (radius: number, found: number): boolean => radius <= found + ACCURACY * (1 + found);

/**
 * What a bound is made from; numbers per bound: place from p, a plane's normal or the direction in which a line
 * was met, what is allowed, a line's own direction.
 */
const BOUND = 10;
/** Bounds that are not those of contacts: the tangent plane of p, and two sides. */
const OWN = 3;
/** `GUARD` keeps directions on one side; `NONE` forbids nothing. */
const POINT = 0,
  PLANE = 1,
  LINE = 2,
  GUARD = 3,
  NONE = 4;

/**
 * A ball-nose cutter reaches p if some centre c has `|c - p| = R + t` and no point of the part nearer than R to
 * the half-line that rises from c (a ball that touches p closer can be raised until it misses it by t: what lies
 * above a free place is free). Seen from p along the unit vector d, c = λ d with λ = R + t, everything is a bound
 * on g = 1/λ from below:
 *
 *     point q             |λd - q| >= λ - t        g >= 2 (q·d - t) / (q·q - t²)
 *     plane m·x = m·q     m·λd - m·q >= λ - t      g >= (1 - m·d) / (t - m·q)
 *     line through q      the same square to it    g >= (e + √(e² + k s²)) / k,   e = q·d - t, k = q·q - t²,
 *                                                  q square to the line, s = d along it
 *
 * The first two are linear in d and the third is convex, so its tangent will do. The largest radius is the least g
 * that all of them allow over the sphere of directions; contacts are asked for where the cutter would stand by
 * those known so far, until it stands free. A point of the part forbids what it forbids for good. A plane only
 * counts while the part lies where the cutter touches the plane: a facet may end before, so that is looked at.
 * What the part may be entered by at a contact is added to t there. The tangent plane of p itself is the first
 * bound.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: the inner functions share the bounds of one point
export function ballReach(query: BallQuery, limits: GapLimits): BallReach {
  const sphere = leastOnSphere();
  const { direction } = sphere;
  const centre = new Float64Array(3),
    reached = new Float64Array(3);
  const made = new Float64Array(BOUND * CAPACITY),
    kinds = new Uint8Array(CAPACITY);
  const leafOf = new Int32Array(CAPACITY);
  /** Facets that the cutter touches beyond their borders: their planes say too much. */
  const broken: number[] = [];
  const leaves = new Int32Array(REMEMBERED).fill(-1);
  let px = 0,
    py = 0,
    pz = 0,
    t = 0,
    slack = 0,
    free = 0,
    count = 0;

  /** Contacts found last come first. */
  const remember = (leaf: number): void => {
    const at = leaves.indexOf(leaf);
    leaves.copyWithin(1, 0, at < 0 ? REMEMBERED - 1 : at);
    leaves[0] = leaf;
  };
  const place = (distance: number): void => {
    for (let i = 0; i < 3; i++) centre[i] = distance * direction[i];
  };
  /** A contact deeper than what is as good as free: of the facets remembered, else of all. */
  const contactAt = (radius: number): BallContact | null => {
    const x = px + centre[0],
      y = py + centre[1],
      z = pz + centre[2];
    let most = 0,
      strongest = -1;
    for (let i = 0; i < REMEMBERED && leaves[i] >= 0; i++) {
      const contact = query.entry(leaves[i], x, y, z, radius, slack);
      if (contact.depth <= free) continue;
      const qx = contact.x - px,
        qy = contact.y - py,
        qz = contact.z - pz,
        miss = t + contact.allowed;
      const bound =
        (qx * direction[0] + qy * direction[1] + qz * direction[2] - miss) /
        (qx * qx + qy * qy + qz * qz - miss * miss);
      if (bound <= most) continue;
      most = bound;
      strongest = leaves[i];
    }
    if (strongest >= 0) return query.entry(strongest, x, y, z, radius, slack);
    const contact = query.deepest(x, y, z, radius, slack);
    return contact.depth > free ? contact : null;
  };
  /** Works bound i out for the tolerance t. */
  const write = (i: number): void => {
    const o = BOUND * i;
    const qx = made[o],
      qy = made[o + 1],
      qz = made[o + 2];
    const mx = made[o + 3],
      my = made[o + 4],
      mz = made[o + 5],
      miss = t + made[o + 6];
    const kind = kinds[i],
      k = qx * qx + qy * qy + qz * qz - miss * miss;
    if (kind === PLANE) {
      const room = miss - (mx * qx + my * qy + mz * qz);
      if (room > 0) sphere.set(i, -mx / room, -my / room, -mz / room, 1 / room);
      else sphere.set(i, 0, 0, 0, NOWHERE);
    } else if (kind === LINE) {
      const ex = made[o + 7],
        ey = made[o + 8],
        ez = made[o + 9];
      const e = qx * mx + qy * my + qz * mz - miss;
      let along = ex * mx + ey * my + ez * mz;
      // Next to a line that p is nearly on, the cutter must not lean along it too much.
      const most = k < 0 && e < 0 ? (LEANING * e * e) / -k : Infinity;
      if (along * along > most) along = Math.sign(along) * Math.sqrt(most);
      const square = along * along,
        root = Math.sqrt(e * e + k * square);
      const share = e < 0 ? square / ((root - e) * root) : (1 + e / root) / k,
        up = along / root;
      if (root > 0)
        sphere.set(i, share * qx + up * ex, share * qy + up * ey, share * qz + up * ez, -miss * share);
      else sphere.set(i, 0, 0, 0, 0);
    } else if (kind === POINT && k > 0) {
      sphere.set(i, (2 * qx) / k, (2 * qy) / k, (2 * qz) / k, (-2 * miss) / k);
    } else {
      const scale = kind === GUARD ? -1 / slack : 0;
      sphere.set(i, scale * mx, scale * my, scale * mz, 0);
    }
  };
  /** The slackest bound gives way where there is no room. */
  const slot = (): number => {
    if (count < CAPACITY) return count++;
    let slackest = OWN;
    for (let i = OWN + 1; i < count; i++) if (sphere.at(i) < sphere.at(slackest)) slackest = i;
    return slackest;
  };
  const put = (
    i: number,
    kind: number,
    leaf: number,
    qx: number,
    qy: number,
    qz: number,
    allowed: number,
  ): void => {
    const o = BOUND * i;
    kinds[i] = kind;
    leafOf[i] = leaf;
    made[o] = qx;
    made[o + 1] = qy;
    made[o + 2] = qz;
    made[o + 6] = allowed;
  };
  const putPlane = (i: number, { x, y, z, mx, my, mz, leaf, allowed }: BallContact): boolean => {
    const qx = x - px,
      qy = y - py,
      qz = z - pz,
      o = BOUND * i;
    if (mx * qx + my * qy + mz * qz > IN_SIGHT * (t + allowed)) return false;
    put(i, PLANE, leaf, qx, qy, qz, allowed);
    made[o + 3] = mx;
    made[o + 4] = my;
    made[o + 5] = mz;
    write(i);
    return true;
  };
  const putLine = (
    i: number,
    { x, y, z, leaf, allowed }: BallContact,
    ex: number,
    ey: number,
    ez: number,
  ): boolean => {
    let qx = x - px,
      qy = y - py,
      qz = z - pz;
    const along = qx * ex + qy * ey + qz * ez,
      miss = t + allowed,
      o = BOUND * i;
    qx -= along * ex;
    qy -= along * ey;
    qz -= along * ez;
    if (
      qx * qx + qy * qy + qz * qz <= miss * miss &&
      qx * direction[0] + qy * direction[1] + qz * direction[2] >= miss
    )
      return false;
    put(i, LINE, leaf, qx, qy, qz, allowed);
    for (let k = 0; k < 3; k++) made[o + 3 + k] = direction[k];
    made[o + 7] = ex;
    made[o + 8] = ey;
    made[o + 9] = ez;
    write(i);
    return true;
  };
  const putPoint = (i: number, { x, y, z, leaf, allowed }: BallContact): void => {
    const qx = x - px,
      qy = y - py,
      qz = z - pz;
    put(i, POINT, leaf, qx, qy, qz, allowed);
    write(i);
  };
  /** What a contact on an edge or corner forbids, or one whatever it lies on. */
  const putEdge = (i: number, contact: BallContact): void => {
    const { onShaft, ex, ey, ez, distance } = contact,
      isEdge = ex !== 0 || ey !== 0 || ez !== 0;
    if (onShaft) {
      if (isEdge && ez * ez < UPRIGHT && distance > 0 && putPlane(i, contact)) return;
      if (putLine(i, contact, 0, 0, 1)) return;
    } else if (isEdge && putLine(i, contact, ex, ey, ez)) {
      return;
    }
    putPoint(i, contact);
  };
  const putContact = (i: number, contact: BallContact): void => {
    if (!contact.planar) putEdge(i, contact);
    else if (broken.includes(contact.leaf)) putPoint(i, contact);
    else if (!putPlane(i, contact)) {
      // p lies behind the plane, so the cutter must pass beside the facet: what of it is next to p tells most.
      const { leaf, x, y, z } = contact,
        known = sphere.value;
      putEdge(i, query.nearest(leaf, px, py, pz, 0, slack));
      if (sphere.at(i) <= known * (1 + HELD)) putPoint(i, query.nearest(leaf, x, y, z, 0, slack));
    }
  };
  /** The facet next to a point of a plane, in sight from above it; -1: none lies within `touch`. */
  const facetAt = (
    x: number,
    y: number,
    z: number,
    mx: number,
    my: number,
    mz: number,
    feeler: number,
    touch: number,
  ): number => {
    const contact = query.deepest(x + feeler * mx, y + feeler * my, z + feeler * mz, feeler + touch, 0);
    const dx = contact.x - x,
      dy = contact.y - y,
      dz = contact.z - z;
    return dx * dx + dy * dy + dz * dz <= 4 * feeler * touch ? contact.leaf : -1;
  };
  /** The facet that lies where the cutter touches the plane of bound i, or nearly; -1: none. */
  const facetBelow = (i: number, radius: number): number => {
    const o = BOUND * i,
      mx = made[o + 3],
      my = made[o + 4],
      mz = made[o + 5],
      apart = radius - made[o + 6];
    const x = px + centre[0] - apart * mx,
      y = py + centre[1] - apart * my,
      z = pz + centre[2] - apart * mz;
    return facetAt(x, y, z, mx, my, mz, FEELER * radius, NEARBY * radius);
  };
  /**
   * Bounds that hold the cutter where nothing of the part does give way to what lies there instead, or else to the
   * nearest of their facet. @returns whether there are any
   */
  const doubt = (radius: number): boolean => {
    let any = false;
    const x = px + centre[0],
      y = py + centre[1],
      z = pz + centre[2];
    for (let i = 0; i < count; i++) {
      if ((kinds[i] !== PLANE && kinds[i] !== LINE) || sphere.at(i) < sphere.value * (1 - HELD)) continue;
      if (leafOf[i] >= 0 && query.entry(leafOf[i], x, y, z, radius, slack).depth > -free) continue;
      const below = kinds[i] === PLANE ? facetBelow(i, radius) : -1;
      if (below >= 0) {
        if (query.entry(below, x, y, z, radius, slack).depth > -free) continue;
        leafOf[i] = below;
      } else if (leafOf[i] < 0) {
        // The tangent plane of p was given, its facet must be looked for.
        leafOf[i] = facetAt(px, py, pz, made[3], made[4], made[5], FEELER * radius, t);
      }
      any = true;
      if (leafOf[i] < 0) {
        kinds[i] = NONE;
        write(i);
        continue;
      }
      const contact = query.entry(leafOf[i], x, y, z, radius, slack);
      if (below < 0) broken.push(leafOf[i]);
      putContact(i, contact);
    }
    return any;
  };
  /** Largest radius up to `most` for the tolerance t, from the bounds known. */
  const search = (most: number, sharp: number): number => {
    const least = 1 / (most + t);
    let best = 0,
      steps = MOST_CONTACTS;
    sphere.solve(0, count, least);
    for (let i = 0; i < steps; i++) {
      const distance = 1 / sphere.value,
        radius = distance - t;
      if (radius < sharp || radius < best + ACCURACY * (1 + best)) return Math.max(best, radius);
      place(distance);
      const contact = contactAt(radius);
      if (contact === null) {
        if (sphere.value <= least) return Infinity;
        best = Math.max(best, radius);
        if (!doubt(radius)) return best;
        steps = Math.min(steps, i + MOST_DOUBTS);
        sphere.solve(0, count, least);
        continue;
      }
      remember(contact.leaf);
      const before = count;
      putContact(slot(), contact);
      sphere.solve(count > before ? before : 0, count, least);
    }
    if (best > 0) return best;
    return cast(best, most);
  };
  /** Where contacts change without end: what is free at last along the last direction, or along the normal. */
  const cast = (known: number, most: number): number => {
    let best = known;
    for (const along of [direction, made.subarray(3, 6)]) {
      let distance = Math.min(most + t, 1 / sphere.value);
      for (let i = 0; i < MOST_CONTACTS && distance - t > best; i++) {
        for (let k = 0; k < 3; k++) centre[k] = distance * along[k];
        const contact = contactAt(distance - t);
        if (contact === null) best = distance - t;
        else distance -= Math.max(0.5 * contact.depth, 1e-3 * distance);
      }
    }
    return best >= most ? Infinity : best;
  };
  const start = (x: number, y: number, z: number, nx: number, ny: number, nz: number): void => {
    px = x;
    py = y;
    pz = z;
    count = 0;
    sphere.start(nx, ny, nz);
    free = NEARLY_FREE * limits.toleranceMm;
    broken.length = 0;
    // A place below p can be raised to its height, and none within reach lies behind p.
    const normals = [nx, ny, nz, nx, ny, nz, 0, 0, 1];
    for (count = 0; count < 3; count++) {
      put(count, count === 0 ? PLANE : GUARD, -1, 0, 0, 0, slack);
      for (let k = 0; k < 3; k++) made[BOUND * count + 3 + k] = normals[3 * count + k];
      write(count);
    }
  };

  /**
   * Lowest height over a plan point that a ball touches which touches the height z there too; NaN: none touches z.
   * The allowance left on the part counts as a miss by less than nothing.
   */
  const clearedAt = (x: number, y: number, z: number, radius: number): number => {
    start(x, y, z, 0, 0, 1);
    // In the open p has no tangent plane: the part below is met like the rest.
    kinds[0] = NONE;
    write(0);
    if (!isReached(radius, search(radius, 0))) return NaN;
    const across = centre[0] * centre[0] + centre[1] * centre[1],
      own = radius + t;
    return Math.min(z, z + centre[2] - Math.sqrt(Math.max(0, own * own - across)));
  };
  /** Height over a plan point at which the allowance on the part ends. */
  const allowanceEnd = (x: number, y: number, z: number, most: number, stock: number): number => {
    let low = z,
      high = z + most + stock;
    for (let i = 0; i < ALLOWANCE_STEPS && stock > 0; i++) {
      const middle = 0.5 * (low + high);
      if (query.deepest(x, y, middle, stock, slack).depth > 0) low = middle;
      else high = middle;
    }
    return stock > 0 ? high : z;
  };
  return {
    centre,
    radius: (x, y, z, nx, ny, nz, most, offSurface = 0) => {
      slack = limits.slackMm + offSurface;
      t = limits.toleranceMm;
      start(x, y, z, nx, ny, nz);
      return search(most, SHARP_TOLERANCES * t);
    },
    gap: (x, y, z, nx, ny, nz, radius, enough, offSurface = 0) => {
      slack = limits.slackMm + offSurface;
      let low = 0;
      let high = Infinity;
      // Upwards from the tolerance: where p is missed by much more than it must be, nearly every direction will do.
      while (high === Infinity || high - low > Math.max(limits.toleranceMm / 8, GAP_ACCURACY * high)) {
        if (low >= enough) return Infinity;
        t = high < Infinity ? 0.5 * (low + high) : Math.max(limits.toleranceMm, 2 * low);
        start(x, y, z, nx, ny, nz);
        if (isReached(radius, search(radius, 0))) {
          const apart = Math.sqrt(centre[0] * centre[0] + centre[1] * centre[1] + centre[2] * centre[2]);
          high = Math.min(t, Math.max(low, apart - radius));
          reached.set(centre);
        } else {
          low = t;
        }
      }
      centre.set(reached);
      return 0.5 * (low + high);
    },
    thickness: (x, y, z, radius, most, stock) => {
      slack = limits.slackMm;
      t = -stock;
      const accuracy = Math.max(limits.toleranceMm / 4, THICKNESS_ACCURACY * radius);
      const bottom = allowanceEnd(x, y, z, most, stock);
      let low = bottom,
        high = z + most + stock;
      if (clearedAt(x, y, bottom + accuracy, radius) <= bottom + accuracy) return 0;
      const top = high;
      high = Infinity;
      // Most of what is left is thin beside the cutter: upwards in growing steps.
      for (let step = THIN * radius; high - low > Math.max(accuracy, THICKNESS_ACCURACY * (low - bottom)); ) {
        const next = high < Infinity ? 0.5 * (low + high) : Math.min(top, bottom + step);
        const cleared = clearedAt(x, y, next, radius);
        if (cleared <= next) high = Math.max(low, cleared);
        else if (next === top) return top - bottom;
        else low = next;
        step *= 2;
      }
      return 0.5 * (low + high) - bottom;
    },
  };
}
