import { unitNormals } from './facets.js';

/** Facets that meet at more are two surfaces: common practice, no source. */
const CREASE_RAD = (35 * Math.PI) / 180;
/** Facets that meet at less are one plane, but for rounding. */
const FLAT_RAD = 1e-3;

/**
 * By how much the chords of each facet may stand out of the round surface that it stands for, mm: (4 F), the
 * facet itself, then its three edges. Where two facets meet at an angle b below that of a crease, and are w wide
 * across their edge, they are chords of an arc whose height over them is w / 2 tan(b / 4). The narrower one
 * tells the width, and only what is not much wider is a chord at all: a floor beside a rounding is not. An edge
 * stands out as far as the more allowed of its two facets: the rim of a bore is a chord too.
 *
 * @param corners (9 F) mm; neighbours share corners bit by bit
 */
export function chordAllowances(corners: Float64Array): Float64Array {
  const normals = unitNormals(corners);
  const allowed = new Float64Array((4 * corners.length) / 9);
  const pairs = edgePairs(corners);
  const bends = pairs.map(([h, g]) => angleBetween(normals, 3 * Math.floor(h / 3), 3 * Math.floor(g / 3)));
  const allow = (pair: readonly [number, number], heightOf: (width: number) => number): void => {
    const widths = pair.map((h) => widthAcross(corners, h));
    const width = Math.min(...widths);
    const height = heightOf(width);
    pair.forEach((h, i) => {
      const at = 4 * Math.floor(h / 3);
      if (widths[i] <= 1.5 * width) allowed[at] = Math.max(allowed[at], height);
    });
  };
  pairs.forEach((pair, i) => {
    if (bends[i] < CREASE_RAD) allow(pair, (width) => (width / 2) * Math.tan(bends[i] / 4));
  });
  // Both halves of one flat strip, where only one of them meets the next chord.
  pairs.forEach((pair, i) => {
    const heights = pair.map((h) => allowed[4 * Math.floor(h / 3)]);
    if (bends[i] < FLAT_RAD) allow(pair, () => Math.max(...heights));
  });
  for (const [h, other] of pairs) {
    const most = Math.max(allowed[4 * Math.floor(h / 3)], allowed[4 * Math.floor(other / 3)]);
    for (const side of [h, other]) allowed[4 * Math.floor(side / 3) + 1 + (side % 3)] = most;
  }
  return allowed;
}

/** Pairs of sides 3 f + k, from corner k to the next, that are one edge. */
function edgePairs(corners: Float64Array): [number, number][] {
  const pairs: [number, number][] = [];
  const first = new Map<string, number>();
  for (let h = 0; 3 * h < corners.length; h++) {
    const f = 9 * Math.floor(h / 3);
    const key = edgeKey(corners, f + 3 * (h % 3), f + 3 * ((h + 1) % 3));
    const other = first.get(key);
    if (other === undefined) first.set(key, h);
    else pairs.push([h, other]);
  }
  return pairs;
}

function edgeKey(c: Float64Array, i: number, j: number): string {
  const [a, b] = [i, j].map((at) => `${c[at]} ${c[at + 1]} ${c[at + 2]}`);
  return a < b ? `${a} ${b}` : `${b} ${a}`;
}

function angleBetween(n: Float64Array, i: number, j: number): number {
  const cos = n[i] * n[j] + n[i + 1] * n[j + 1] + n[i + 2] * n[j + 2];
  const sin = Math.sqrt(
    (n[i + 1] * n[j + 2] - n[i + 2] * n[j + 1]) ** 2 +
      (n[i + 2] * n[j] - n[i] * n[j + 2]) ** 2 +
      (n[i] * n[j + 1] - n[i + 1] * n[j]) ** 2,
  );
  return Math.atan2(sin, cos);
}

/** Distance of a facet's third corner from its edge `h`. */
function widthAcross(c: Float64Array, h: number): number {
  const f = 9 * Math.floor(h / 3);
  const [i, j, k] = [h % 3, (h + 1) % 3, (h + 2) % 3].map((corner) => f + 3 * corner);
  const [ex, ey, ez] = [c[j] - c[i], c[j + 1] - c[i + 1], c[j + 2] - c[i + 2]];
  const [dx, dy, dz] = [c[k] - c[i], c[k + 1] - c[i + 1], c[k + 2] - c[i + 2]];
  const twice = Math.sqrt((ey * dz - ez * dy) ** 2 + (ez * dx - ex * dz) ** 2 + (ex * dy - ey * dx) ** 2);
  const length = Math.sqrt(ex * ex + ey * ey + ez * ez);
  return length > 0 ? twice / length : 0;
}
