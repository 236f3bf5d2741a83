import { unitNormals } from './facets.js';

/** Facets that meet at more are two surfaces: common practice, no source. */
const CREASE_RAD = (35 * Math.PI) / 180;

/**
 * By how much the chords of each facet may stand out of the round surface that it stands for (F), mm. Where
 * two facets meet at an angle b below that of a crease, and are w wide across their edge, they are chords of
 * an arc whose height over them is w / 2 tan(b / 4). The narrower one tells the width, and only what is not
 * much wider is a chord at all: a floor beside a rounding is not.
 *
 * @param corners (9 F) mm; neighbours share corners bit by bit
 */
export function chordAllowances(corners: Float64Array): Float64Array {
  const count = corners.length / 9;
  const normals = unitNormals(corners);
  const allowed = new Float64Array(count);
  const first = new Map<string, number>();
  for (let f = 0; f < count; f++) {
    for (let k = 0; k < 3; k++) {
      const here = edgeKey(corners, 9 * f + 3 * k, 9 * f + 3 * ((k + 1) % 3));
      const other = first.get(here);
      if (other === undefined) first.set(here, 3 * f + k);
      else allowPair(3 * f + k, other);
    }
  }
  return allowed;

  function allowPair(h: number, other: number): void {
    const [f, g] = [Math.floor(h / 3), Math.floor(other / 3)];
    const bend = angleBetween(normals, 3 * f, 3 * g);
    if (!(bend < CREASE_RAD)) return;
    const widths = [widthAcross(corners, h), widthAcross(corners, other)];
    const width = Math.min(...widths);
    [f, g].forEach((facet, i) => {
      if (widths[i] <= 1.5 * width)
        allowed[facet] = Math.max(allowed[facet], (width / 2) * Math.tan(bend / 4));
    });
  }
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
