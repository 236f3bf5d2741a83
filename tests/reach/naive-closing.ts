import { profileHeight, type CutterProfile } from '../../src/cutter/cutter-profile.js';

/** Dilation by the definition: every tap at every node. */
export function naiveDilation(
  source: Float64Array,
  columns: number,
  rows: number,
  profile: CutterProfile,
  pitchMm: number,
): Float64Array {
  const reach = Math.floor(profile.radiusMm / pitchMm),
    size = 2 * reach + 1;
  const g = new Float64Array(size * size);
  for (let k = 0; k < g.length; k++) {
    const ux = (k % size) - reach,
      uy = Math.floor(k / size) - reach;
    g[k] = profileHeight(profile, pitchMm * Math.sqrt(ux * ux + uy * uy));
  }
  const out = new Float64Array(source.length).fill(-Infinity);
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      let best = -Infinity;
      for (let b = Math.max(0, j - reach); b <= Math.min(rows - 1, j + reach); b++) {
        const line = (b - j + reach) * size + reach - i;
        for (let a = Math.max(0, i - reach); a <= Math.min(columns - 1, i + reach); a++) {
          const offer = source[b * columns + a] - g[line + a];
          if (offer > best) best = offer;
        }
      }
      out[j * columns + i] = best;
    }
  }
  return out;
}

/** Closing by the definition on a grid padded with nothing; its own code for the erosion. */
export function naiveClosing(
  source: Float64Array,
  columns: number,
  rows: number,
  profile: CutterProfile,
  pitchMm: number,
): Float64Array {
  const reach = Math.floor(profile.radiusMm / pitchMm);
  const wide = columns + 2 * reach,
    high = rows + 2 * reach;
  const padded = new Float64Array(wide * high).fill(-Infinity);
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) padded[(j + reach) * wide + i + reach] = source[j * columns + i];
  }
  const tips = naiveDilation(padded, wide, high, profile, pitchMm);
  const size = 2 * reach + 1;
  const g = new Float64Array(size * size);
  for (let k = 0; k < g.length; k++) {
    const ux = (k % size) - reach,
      uy = Math.floor(k / size) - reach;
    g[k] = profileHeight(profile, pitchMm * Math.sqrt(ux * ux + uy * uy));
  }
  const out = new Float64Array(source.length);
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      let least = Infinity;
      for (let b = 0; b < size; b++) {
        for (let a = 0; a < size; a++) {
          if (g[b * size + a] === Infinity) continue;
          const height = tips[(j + b) * wide + i + a] + g[b * size + a];
          if (height < least) least = height;
        }
      }
      out[j * columns + i] = least;
    }
  }
  return out;
}
