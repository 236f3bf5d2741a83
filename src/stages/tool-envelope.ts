import { flatRadiusMm, profileHeight, type CutterProfile } from '../cutter/cutter-profile.js';
import type { PlanLattice } from './plan-lattice.js';

/**
 * Lowest height at which the tip of a cutter may stand over each node so that it reaches into no height of the lattice:
 * `max over d of height(p + d) - g(|d|)`, g being the profile. Off the lattice nothing is in the way.
 *
 * Source: inverse offset on a height grid, Inui 2003, doi:10.1016/S0010-4485(02)00052-0; a dilation in the words of
 * mathematical morphology (ISO 16610-41, from memory).
 *
 * @param heights (nodes) mm, finite or -Infinity
 * @returns (nodes) mm
 */
export function lowestTips(
  heights: Float32Array,
  lattice: PlanLattice,
  profile: CutterProfile,
): Float32Array {
  const flat = flatRadiusMm(profile);
  const out = flat > 0 ? highestUnder(heights, lattice, flat) : heights.slice();
  return profile.cornerRadiusMm > 0 ? overCorner(heights, lattice, profile, out) : out;
}

/**
 * Lowest height over each node that a cutter clears whose tip stands at these heights, mm; Infinity where it never
 * comes.
 *
 * @param tips (nodes) mm; Infinity: it does not stand there
 */
export function clearedHeights(
  tips: Float32Array,
  lattice: PlanLattice,
  profile: CutterProfile,
): Float32Array {
  return lowestTips(
    tips.map((tip) => -tip),
    lattice,
    profile,
  ).map((height) => -height);
}

/**
 * A disc of lattice points falls short of the round one by about a third of a pitch, as a mean over all directions: it
 * only holds the points that lie within.
 */
const SHORT_PITCHES = 0.3;

/** Greatest height within a round of each node: of each row a window as wide as the round is there. */
export function highestUnder(
  heights: Float32Array,
  { columns, rows, pitchMm }: PlanLattice,
  radiusMm: number,
): Float32Array {
  const reach = radiusMm / pitchMm + SHORT_PITCHES,
    whole = Math.floor(reach);
  const halves = Array.from({ length: whole + 1 }, (_, dy) => Math.floor(Math.sqrt(reach * reach - dy * dy)));
  const out = new Float32Array(heights.length).fill(-Infinity);
  const width = columns + 2 * whole;
  const levels = Array.from({ length: Math.floor(Math.log2(2 * whole + 1)) + 1 }, () =>
    new Float32Array(width).fill(-Infinity),
  );
  for (let row = 0; row < rows; row++) {
    fillWindows(levels, heights.subarray(row * columns, (row + 1) * columns), whole);
    for (let dy = -Math.min(whole, row); dy <= Math.min(whole, rows - 1 - row); dy++) {
      const half = halves[Math.abs(dy)];
      const k = Math.floor(Math.log2(2 * half + 1)),
        maxima = levels[k];
      const left = whole - half,
        right = whole + half + 1 - (1 << k);
      const to = (row + dy) * columns;
      for (let i = 0; i < columns; i++) {
        const most = Math.max(maxima[i + left], maxima[i + right]);
        if (most > out[to + i]) out[to + i] = most;
      }
    }
  }
  return out;
}

/** Maxima over windows of 1, 2, 4, ... places from each on, of a row with `margin` empty places on both sides. */
function fillWindows(levels: readonly Float32Array[], row: Float32Array, margin: number): void {
  levels[0].set(row, margin);
  for (let k = 1; k < levels.length; k++) {
    const below = levels[k - 1],
      own = levels[k],
      half = 1 << (k - 1);
    for (let i = 0; i + half < own.length; i++) own[i] = Math.max(below[i], below[i + half]);
  }
}

/** So many nodes of a row are looked at together, and their lowest is found anew after so many offsets. */
const RUN = 32,
  FRESH = 8;

/**
 * What rises outside of the flat end: every place under it is tried, the nearest first, and left out for a run of nodes
 * that it cannot raise any more.
 *
 * @param out (nodes) what is known so far; raised and returned
 */
function overCorner(
  heights: Float32Array,
  { columns, rows, pitchMm }: PlanLattice,
  profile: CutterProfile,
  out: Float32Array,
): Float32Array {
  const runs = Math.ceil(columns / RUN);
  const offsets = cornerOffsets(profile, pitchMm);
  const highest = new Float32Array(runs * rows).fill(-Infinity),
    lowest = new Float32Array(runs * rows);
  const age = new Uint8Array(lowest.length);
  const end = (run: number): number => Math.min(columns, (run + 1) * RUN);
  const freshen = (row: number, run: number): void => {
    let least = Infinity;
    for (let i = row * columns + run * RUN; i < row * columns + end(run); i++)
      if (out[i] < least) least = out[i];
    lowest[row * runs + run] = least;
  };
  for (let row = 0; row < rows; row++) {
    for (let i = 0; i < columns; i++) {
      const run = row * runs + Math.floor(i / RUN),
        height = heights[row * columns + i];
      if (height > highest[run]) highest[run] = height;
    }
    for (let run = 0; run < runs; run++) freshen(row, run);
  }
  for (const { dx, dy, rise } of offsets) {
    for (let row = Math.max(0, -dy); row < Math.min(rows, rows - dy); row++) {
      const to = row * columns,
        from = (row + dy) * columns + dx;
      for (let run = 0; run < runs; run++) {
        const first = Math.max(run * RUN, -dx),
          last = Math.min(end(run), columns - dx);
        if (first >= last) continue;
        const near = (row + dy) * runs + Math.floor((first + dx) / RUN),
          far = (row + dy) * runs + Math.floor((last - 1 + dx) / RUN);
        const most = Math.max(highest[near], highest[far]) - rise;
        if (!(most > lowest[row * runs + run])) continue;
        for (let i = first; i < last; i++) {
          const height = heights[from + i] - rise;
          if (height > out[to + i]) out[to + i] = height;
        }
        if (++age[row * runs + run] % FRESH === 0) freshen(row, run);
      }
    }
  }
  return out;
}

/** Places under a cutter outside of its flat end, and how high its underside is there; the nearest first. */
function cornerOffsets(profile: CutterProfile, pitchMm: number) {
  const reach = profile.radiusMm / pitchMm + SHORT_PITCHES,
    whole = Math.floor(reach);
  const offsets: { readonly dx: number; readonly dy: number; readonly rise: number }[] = [];
  for (let dy = -whole; dy <= whole; dy++) {
    for (let dx = -whole; dx <= whole; dx++) {
      const pitches = Math.sqrt(dx * dx + dy * dy);
      if (pitches > reach) continue;
      const rise = profileHeight(profile, Math.min(profile.radiusMm, pitches * pitchMm));
      if (rise > 0) offsets.push({ dx, dy, rise });
    }
  }
  return offsets.sort((a, b) => a.rise - b.rise || a.dy - b.dy || a.dx - b.dx);
}
