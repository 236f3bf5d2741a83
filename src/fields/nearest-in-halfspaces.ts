/**
 * Half-spaces `m · x >= b` gathered one by one, and the point in all of them that is nearest to the origin.
 * At most `CAPACITY` are kept: the oldest that did not matter at the last solution gives way.
 */
export interface HalfSpaces {
  clear(): void;
  /** @param m unit */
  add(mx: number, my: number, mz: number, b: number): void;
  /** False if the half-spaces have no point in common (or so nearly that rounding decides). */
  solve(): boolean;
  /** (3) the last solution */
  readonly point: Float64Array;
}

const CAPACITY = 8;
const ROUNDING = 1e-9;

/**
 * The least-norm point of a few half-spaces in space has at most three of them tight, so all ones, twos and
 * threes are tried: exact, and quicker than an iteration for up to eight.
 */
export function halfSpaces(): HalfSpaces {
  const m = new Float64Array(3 * CAPACITY), b = new Float64Array(CAPACITY);
  const point = new Float64Array(3), trial = new Float64Array(3);
  let count = 0;

  const satisfied = (): boolean => {
    for (let i = 0; i < count; i++) {
      const value = m[3 * i] * trial[0] + m[3 * i + 1] * trial[1] + m[3 * i + 2] * trial[2];
      if (value < b[i] - ROUNDING * (1 + Math.abs(b[i]))) return false;
    }
    return true;
  };
  const dot = (i: number, j: number): number => (
    m[3 * i] * m[3 * j] + m[3 * i + 1] * m[3 * j + 1] + m[3 * i + 2] * m[3 * j + 2]
  );
  const combine = (i: number, u: number, j: number, v: number, k: number, w: number): void => {
    for (let a = 0; a < 3; a++) trial[a] = u * m[3 * i + a] + v * m[3 * j + a] + w * m[3 * k + a];
  };
  let best = Infinity;
  const keep = (): void => {
    const size = trial[0] * trial[0] + trial[1] * trial[1] + trial[2] * trial[2];
    if (size >= best || !satisfied()) return;
    best = size;
    point.set(trial);
  };
  const tryPair = (i: number, j: number): void => {
    const g = dot(i, j), det = 1 - g * g;
    if (det < 1e-12) return;
    const u = (b[i] - g * b[j]) / det, v = (b[j] - g * b[i]) / det;
    if (u < 0 || v < 0) return;
    combine(i, u, j, v, i, 0);
    keep();
  };
  const tryTriple = (i: number, j: number, k: number): void => {
    const p = dot(i, j), q = dot(i, k), r = dot(j, k);
    const det = 1 + 2 * p * q * r - p * p - q * q - r * r;
    if (det < 1e-12) return;
    const u = (b[i] * (1 - r * r) - p * (b[j] - r * b[k]) + q * (b[j] * r - b[k])) / det;
    const v = (b[j] * (1 - q * q) - p * (b[i] - q * b[k]) + r * (b[i] * q - b[k])) / det;
    const w = (b[k] * (1 - p * p) - q * (b[i] - p * b[j]) + r * (b[i] * p - b[j])) / det;
    if (u < 0 || v < 0 || w < 0) return;
    combine(i, u, j, v, k, w);
    keep();
  };

  return {
    point,
    clear: () => { count = 0; },
    add: (mx, my, mz, bound) => {
      let slot = count;
      if (count === CAPACITY) {
        // The slackest at the last solution, never the first: that is the point's own tangent plane.
        let most = -Infinity;
        for (let i = 1; i < count; i++) {
          const slackness = m[3 * i] * point[0] + m[3 * i + 1] * point[1] + m[3 * i + 2] * point[2] - b[i];
          if (slackness > most) { most = slackness; slot = i; }
        }
      } else {
        count++;
      }
      m[3 * slot] = mx;
      m[3 * slot + 1] = my;
      m[3 * slot + 2] = mz;
      b[slot] = bound;
    },
    solve: () => {
      best = Infinity;
      trial.fill(0);
      keep();
      for (let i = 0; i < count; i++) {
        if (b[i] < 0) continue;
        combine(i, b[i], i, 0, i, 0);
        keep();
      }
      for (let i = 0; i < count; i++) for (let j = i + 1; j < count; j++) tryPair(i, j);
      if (best === Infinity || count > 2) {
        for (let i = 0; i < count; i++) {
          for (let j = i + 1; j < count; j++) for (let k = j + 1; k < count; k++) tryTriple(i, j, k);
        }
      }
      return best < Infinity;
    },
  };
}
