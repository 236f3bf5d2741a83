import { ballProfile, flatRadiusMm, profileHeight, type CutterProfile } from '../cutter/cutter-profile.js';
import type { PlanLattice } from './plan-lattice.js';

/**
 * Lowest height at which the tip of a cutter may stand over each node so that it reaches into no height of the lattice:
 * `max over d of height(p + d) - g(|d|)`, g being the profile. Off the lattice nothing is in the way.
 *
 * Source: inverse offset on a height grid, Inui 2003, doi:10.1016/S0010-4485(02)00052-0; a dilation in the words of
 * mathematical morphology (ISO 16610-41, from memory).
 *
 * @param heights (nodes) mm, finite or -Infinity
 * @param asked (2 rows) first and last node of each row that is asked about; others may come out too low
 * @returns (nodes) mm
 */
export function lowestTips(
  heights: Float32Array,
  lattice: PlanLattice,
  profile: CutterProfile,
  asked?: Int32Array,
): Float32Array {
  const flat = flatRadiusMm(profile),
    corner = profile.cornerRadiusMm;
  // A flat end with rounded corners is a ball widened by a disc.
  const rounded =
    corner > 0 ? thickened(heights, lattice, flat > 0 ? ballProfile(corner) : profile) : heights;
  return flat > 0 ? highestUnder(rounded, lattice, flat, asked) : rounded;
}

/**
 * Lowest height over each node that a cutter clears whose tip stands at these heights, mm; Infinity where it never
 * comes.
 *
 * @param tips (nodes) mm; Infinity: it does not stand there
 * @param stock (nodes) its top, mm; where it is -Infinity nothing is asked
 */
export function clearedHeights(
  tips: Float32Array,
  lattice: PlanLattice,
  profile: CutterProfile,
  stock: Float32Array,
): Float32Array {
  const turned = tips.map((tip) => -tip);
  const asked = rowSpans(stock, lattice.columns, -Infinity);
  return lowestTips(turned, lattice, profile, asked).map((height) => -height);
}

/**
 * A disc of lattice points falls short of the round one by about a third of a pitch, as a mean over all directions: it
 * only holds the points that lie within.
 */
const SHORT_PITCHES = 0.3;

/**
 * Greatest height within a round of each node: of each row a window as wide as the round is there. What lies lowest is
 * known beforehand, so that the air round a part costs nothing.
 *
 * @param asked as in `lowestTips`
 */
export function highestUnder(
  heights: Float32Array,
  { columns, rows, pitchMm }: PlanLattice,
  radiusMm: number,
  asked?: Int32Array,
): Float32Array {
  const reach = radiusMm / pitchMm + SHORT_PITCHES,
    whole = Math.floor(reach);
  const halves = Array.from({ length: whole + 1 }, (_, dy) => Math.floor(Math.sqrt(reach * reach - dy * dy)));
  const least = heights.reduce((known, height) => Math.min(known, height), Infinity);
  const raised = rowSpans(heights, columns, least);
  const out = new Float32Array(heights.length).fill(least);
  const width = columns + 2 * whole;
  const levels = Array.from({ length: Math.floor(Math.log2(2 * whole + 1)) + 1 }, () =>
    new Float32Array(width).fill(-Infinity),
  );
  for (let row = 0; row < rows; row++) {
    const first = raised[2 * row],
      last = raised[2 * row + 1];
    if (first > last) continue;
    fillWindows(levels, heights.subarray(row * columns, (row + 1) * columns), whole);
    for (let dy = -Math.min(whole, row); dy <= Math.min(whole, rows - 1 - row); dy++) {
      const half = halves[Math.abs(dy)];
      const k = Math.floor(Math.log2(2 * half + 1)),
        maxima = levels[k];
      const left = whole - half,
        right = whole + half + 1 - (1 << k);
      const to = (row + dy) * columns,
        from = Math.max(first - half, asked?.[2 * (row + dy)] ?? 0),
        end = Math.min(last + half, asked?.[2 * (row + dy) + 1] ?? columns - 1);
      for (let i = from; i <= end; i++) {
        const most = Math.max(maxima[i + left], maxima[i + right]);
        if (most > out[to + i]) out[to + i] = most;
      }
    }
  }
  return out;
}

/** (2 rows) first and last node of each row that is higher; none: the last comes before the first. */
function rowSpans(heights: Float32Array, columns: number, than: number): Int32Array {
  const spans = Int32Array.from({ length: (2 * heights.length) / columns }, (_, k) =>
    k % 2 === 0 ? columns : -1,
  );
  heights.forEach((height, node) => {
    if (!(height > than)) return;
    const column = node % columns,
      k = 2 * Math.floor(node / columns);
    if (column < spans[k]) spans[k] = column;
    spans[k + 1] = column;
  });
  return spans;
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

/** Of heights nearer to each other than this both are carried on, mm. */
const TIE_MM = 1e-7;

/**
 * `max over d of height(p + d) - g(|d|)`.
 *
 * A node is carried only to places where none of its four neighbours comes as high. The underside G is convex over the
 * plan, so in a row those are where `G(o) - G(o - e)` lies between the steps from the node to its neighbours: on smooth
 * ground one place, from an edge a line of them. Trying all took (R / pitch)² steps a node.
 */
function thickened(
  heights: Float32Array,
  { columns, rows, pitchMm }: PlanLattice,
  profile: CutterProfile,
): Float32Array {
  const out = heights.slice();
  const { whole, width, halves, rises, across, along, leastAlong } = underside(profile, pitchMm);
  const centre = (whole + 1) * width + whole + 1,
    aside = across[centre + 1],
    ahead = leastAlong[1];
  for (let node = 0; node < heights.length; node++) {
    const height = heights[node];
    if (height === -Infinity) continue;
    const column = node % columns,
      row = (node - column) / columns;
    const right = column + 1 < columns ? height - heights[node + 1] + TIE_MM : Infinity,
      left = column > 0 ? heights[node - 1] - height - TIE_MM : -Infinity,
      above = row + 1 < rows ? height - heights[node + columns] + TIE_MM : Infinity,
      below = row > 0 ? heights[node - columns] - height - TIE_MM : -Infinity;
    // Level ground, which most of it is, reaches nowhere else.
    if (right <= aside && -left <= aside && above <= ahead && -below <= ahead) continue;
    let first = 0,
      last = 0;
    while (first < Math.min(whole, row) && leastAlong[first + 1] < -below) first++;
    while (last < Math.min(whole, rows - 1 - row) && leastAlong[last + 1] < above) last++;
    for (let dy = -first; dy <= last; dy++) {
      const half = halves[Math.abs(dy)],
        at = centre + dy * width,
        to = node + dy * columns,
        end = Math.min(half, columns - 1 - column);
      let dx = Math.max(-half, -column);
      for (let beyond = end + 1; dx < beyond; ) {
        const middle = (dx + beyond) >> 1;
        if (across[at + middle + 1] <= left) dx = middle + 1;
        else beyond = middle;
      }
      for (; dx <= end && across[at + dx] < right; dx++) {
        if (along[at + dx] >= above || along[at + dx + width] <= below) continue;
        const reached = height - rises[at + dx];
        if (reached > out[to + dx]) out[to + dx] = reached;
      }
    }
  }
  return out;
}

/**
 * The underside of a cutter over the lattice's places round its axis, up to `whole` to each side, `halves` of them in a
 * row: tables of `width` rows and columns with the axis in their middle. `rises`: over the tip, mm, Infinity where it is
 * not; `across`, `along`: what the place before in its row, or column, is lower; `leastAlong`: the least of these from a
 * row on outwards. It is widened evenly by what a round of lattice points falls short.
 */
function underside(profile: CutterProfile, pitchMm: number) {
  const { radiusMm } = profile;
  const reach = radiusMm / pitchMm + SHORT_PITCHES,
    whole = Math.floor(reach),
    width = 2 * whole + 3;
  const halves = Array.from({ length: whole + 1 }, (_, dy) => Math.floor(Math.sqrt(reach * reach - dy * dy)));
  const rises = new Float64Array(width * width).fill(Infinity);
  for (let dy = -whole; dy <= whole; dy++) {
    const half = halves[Math.abs(dy)],
      at = (dy + whole + 1) * width + whole + 1;
    for (let dx = -half; dx <= half; dx++)
      rises[at + dx] = profileHeight(
        profile,
        Math.min(radiusMm, (radiusMm / reach) * Math.sqrt(dx * dx + dy * dy)),
      );
  }
  const along = rises.map((rise, k) => rise - rises[k - width]);
  const leastAlong = new Float64Array(whole + 2).fill(Infinity);
  for (let dy = whole; dy > 0; dy--) {
    const at = (dy + whole + 1) * width + whole + 1;
    leastAlong[dy] = along
      .subarray(at - halves[dy], at + halves[dy] + 1)
      .reduce((least, rise) => Math.min(least, rise), leastAlong[dy + 1]);
  }
  return {
    whole,
    width,
    halves,
    rises,
    across: rises.map((rise, k) => rise - rises[k - 1]),
    along,
    leastAlong,
  };
}
