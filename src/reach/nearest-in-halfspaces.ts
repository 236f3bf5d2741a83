/**
 * Half-spaces `m · x >= b` gathered one by one, and the point in all of them that is nearest to another.
 * At most `CAPACITY` are kept: the one that mattered least at the last solution gives way.
 */
export interface HalfSpaces {
  clear(): void;
  copy(other: HalfSpaces): void;
  /** @param m unit */
  add(mx: number, my: number, mz: number, b: number): void;
  /**
   * Looks for the point nearest to (x, y, z), by default the origin.
   *
   * @returns false, and the last solution stays, if the half-spaces have no point in common (or so nearly that
   *   rounding decides)
   */
  solve(x?: number, y?: number, z?: number): boolean;
  /** (3) the last solution, or whatever it was set to since */
  readonly point: Float64Array;
  /** (3 ..) unit normals, and (..) bounds; for `copy` */
  readonly normals: Float64Array;
  readonly bounds: Float64Array;
  readonly count: number;
}

const CAPACITY = 8;
const ROUNDING = 1e-9;

/**
 * Takes the half-spaces one after the other, as seen from the point asked about. The point nearest to it stays while
 * it lies in the next one; otherwise the new point is on that one's plane, alone or with one or two of those before.
 * The first such point that is in all of them and pushed outwards by each is the only one there is: it meets the
 * conditions for the least distance.
 */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share scratch arrays.
export function halfSpaces(): HalfSpaces {
  const m = new Float64Array(3 * CAPACITY),
    bounds = new Float64Array(CAPACITY),
    b = new Float64Array(CAPACITY);
  const point = new Float64Array(3),
    nearest = new Float64Array(3);
  let count = 0,
    held = 0,
    first = 0,
    second = 0,
    third = 0;

  /** Whether (x, y, z) lies in the first `known` half-spaces. */
  const isIn = (x: number, y: number, z: number, known: number): boolean => {
    for (let i = 0, o = 0; i < known; i++, o += 3) {
      if (m[o] * x + m[o + 1] * y + m[o + 2] * z < b[i] - ROUNDING * (1 + Math.abs(b[i]))) return false;
    }
    return true;
  };
  const dot = (i: number, j: number): number =>
    m[3 * i] * m[3 * j] + m[3 * i + 1] * m[3 * j + 1] + m[3 * i + 2] * m[3 * j + 2];
  /**
   * Takes u mi + v mj + w mk for the point, if it lies in the first `known`. @param planes how many of the
   * three count
   */
  const take = (
    planes: number,
    known: number,
    i: number,
    u: number,
    j: number,
    v: number,
    k: number,
    w: number,
  ): boolean => {
    const x = u * m[3 * i] + v * m[3 * j] + w * m[3 * k];
    const y = u * m[3 * i + 1] + v * m[3 * j + 1] + w * m[3 * k + 1];
    const z = u * m[3 * i + 2] + v * m[3 * j + 2] + w * m[3 * k + 2];
    if (!isIn(x, y, z, known)) return false;
    nearest[0] = x;
    nearest[1] = y;
    nearest[2] = z;
    held = planes;
    first = i;
    second = j;
    third = k;
    return true;
  };
  const tryPair = (i: number, j: number, known: number): boolean => {
    const g = dot(i, j),
      det = 1 - g * g;
    if (det < 1e-12) return false;
    const u = (b[i] - g * b[j]) / det,
      v = (b[j] - g * b[i]) / det;
    return u >= 0 && v >= 0 && take(2, known, i, u, j, v, i, 0);
  };
  const tryTriple = (i: number, j: number, k: number, known: number): boolean => {
    const p = dot(i, j),
      q = dot(i, k),
      r = dot(j, k);
    const det = 1 + 2 * p * q * r - p * p - q * q - r * r;
    if (det < 1e-12) return false;
    const u = (b[i] * (1 - r * r) - p * (b[j] - r * b[k]) + q * (b[j] * r - b[k])) / det;
    const v = (b[j] * (1 - q * q) - p * (b[i] - q * b[k]) + r * (b[i] * q - b[k])) / det;
    const w = (b[k] * (1 - p * p) - q * (b[i] - p * b[j]) + r * (b[i] * p - b[j])) / det;
    return u >= 0 && v >= 0 && w >= 0 && take(3, known, i, u, j, v, k, w);
  };
  /** The nearest point that is on the plane of i and in all before. */
  const onto = (i: number): boolean => {
    if (b[i] >= 0 && take(1, i, i, b[i], i, 0, i, 0)) return true;
    for (let j = 0; j < i; j++) if (tryPair(i, j, i)) return true;
    for (let j = 0; j < i; j++) for (let k = j + 1; k < i; k++) if (tryTriple(i, j, k, i)) return true;
    return false;
  };

  /**
   * Whether the planes that held the last solution hold this one, as they mostly do where little has changed.
   */
  const holdsStill = (): boolean => {
    if (held < 2 || first >= count || second >= count) return false;
    return held === 2
      ? tryPair(first, second, count)
      : third < count && tryTriple(first, second, third, count);
  };
  const find = (): boolean => {
    if (holdsStill()) return true;
    nearest.fill(0);
    held = 0;
    for (let i = 0, o = 0; i < count; i++, o += 3) {
      const value = m[o] * nearest[0] + m[o + 1] * nearest[1] + m[o + 2] * nearest[2];
      if (value < b[i] - ROUNDING * (1 + Math.abs(b[i])) && !onto(i)) return false;
    }
    return true;
  };

  return {
    point,
    normals: m,
    bounds,
    get count() {
      return count;
    },
    clear: () => {
      count = 0;
    },
    copy: (other) => {
      count = other.count;
      for (let i = 0; i < 3 * count; i++) m[i] = other.normals[i];
      for (let i = 0; i < count; i++) bounds[i] = other.bounds[i];
      for (let i = 0; i < 3; i++) point[i] = other.point[i];
    },
    add: (mx, my, mz, bound) => {
      let slot = count;
      if (count === CAPACITY) {
        // The slackest at the last solution, never the first: that is mostly the point's own tangent plane.
        let most = -Infinity;
        for (let i = 1; i < count; i++) {
          const slackness =
            m[3 * i] * point[0] + m[3 * i + 1] * point[1] + m[3 * i + 2] * point[2] - bounds[i];
          if (slackness > most) {
            most = slackness;
            slot = i;
          }
        }
      } else {
        count++;
      }
      m[3 * slot] = mx;
      m[3 * slot + 1] = my;
      m[3 * slot + 2] = mz;
      bounds[slot] = bound;
    },
    solve: (x = 0, y = 0, z = 0) => {
      for (let i = 0, o = 0; i < count; i++, o += 3)
        b[i] = bounds[i] - m[o] * x - m[o + 1] * y - m[o + 2] * z;
      if (!find()) return false;
      point[0] = x + nearest[0];
      point[1] = y + nearest[1];
      point[2] = z + nearest[2];
      return true;
    },
  };
}
