import { findCrossings } from './crossings.js';
import { farthest, keepPoints, offLine } from './keep-points.js';
import type { BorderChains } from './types.js';

/** Largest relative change of a region's plan area by simplifying its border. */
const AREA_SHARE = 0.00049;
/**
 * Change of area allowed to walls seen edge on: the whole border moved sideways by this part of the
 * tolerance.
 */
const MOVED_SHARE = 0.005;
/** Regions narrower than this, their area over the length of their border, are such walls, mm. */
const WALL_MM = 0.0005;
/** A chain whose tolerance was halved this often keeps all its points. */
const MOST_HALVINGS = 12;
/**
 * Borders further apart in height than this cross in plan because the part does; simplifying is not to blame,
 * mm.
 */
const SEPARATE_HEIGHT_MM = 0.5;
/** Rounds of giving points back where simplified borders cross. */
const MOST_PASSES = 8;

/**
 * Leaves out points of border chains so that no point left out lies further than `toleranceMm` from its side:
 * in space, or in plan only, where a border that bulges upwards may be a straight line. What is left is a
 * subset of the points. A chain is shared by its two regions, and the ends of chains stay, so that neighbours
 * neither part nor overlap. Plan areas stay within 0.05 % of what they were, those of walls seen edge on
 * within what the border moved sideways by a two-hundredth of the tolerance encloses, and borders do not come
 * to cross.
 */
export function simplifyChains(
  chains: BorderChains,
  toleranceMm: number,
  measured: 'space' | 'plan',
): BorderChains {
  if (!(toleranceMm >= 0))
    throw new RangeError(`simplifyChains: tolerance ${toleranceMm}, expected 0 or more`);
  const kept = new Uint8Array(chains.points.length / 3);
  const halvings = new Uint8Array(chains.closed.length);
  const shapes =
    measured === 'space' ? chains : { ...chains, points: chains.points.map((v, i) => (i % 3 === 2 ? 0 : v)) };
  const lost = Float64Array.from(halvings, (_, c) => keepChain(shapes, c, toleranceMm, kept));
  const allowed = areaAllowances(chains, toleranceMm);
  for (let changed = true; changed; ) {
    changed = false;
    const change = sumsByRegion(chains, lost, -1);
    const tight = new Set(
      [...allowed].flatMap(([label, most]) => (Math.abs(change.get(label) ?? 0) > most ? [label] : [])),
    );
    for (let c = 0; c < halvings.length; c++) {
      if (!tight.has(chains.left[c]) && !tight.has(chains.right[c])) continue;
      if (lost[c] === 0 || halvings[c] > MOST_HALVINGS) continue;
      halvings[c]++;
      lost[c] = keepChain(shapes, c, halvings[c] > MOST_HALVINGS ? 0 : toleranceMm / 2 ** halvings[c], kept);
      changed = true;
    }
  }
  // Borders that cross without end, as in a heap of loose facets, are untangled afterwards.
  let restored: Uint8Array | null = null;
  for (let pass = 0; pass < MOST_PASSES; pass++) {
    restored = restoreAtCrossings(chains, kept, restored);
    if (!restored.includes(1)) break;
  }
  return thin(chains, kept);
}

/** Marks what one chain keeps; the plan area it loses on its left, mm². */
function keepChain(chains: BorderChains, c: number, toleranceMm: number, kept: Uint8Array): number {
  const [from, to] = [chains.start[c], chains.start[c + 1]];
  const closed = chains.closed[c] === 1;
  kept.fill(toleranceMm > 0 ? 0 : 1, from, to);
  if (toleranceMm > 0) keepPoints(chains.points, from, to, closed, toleranceMm, kept);
  return areaLost(chains.points, from, to, closed, kept);
}

/**
 * Sums of a value of each chain by region; of the region on its right it counts times `right`. The outside
 * (-1) has none.
 */
function sumsByRegion(chains: BorderChains, values: ArrayLike<number>, right: 1 | -1): Map<number, number> {
  const sums = new Map<number, number>();
  for (let c = 0; c < values.length; c++) {
    sums.set(chains.left[c], (sums.get(chains.left[c]) ?? 0) + values[c]);
    sums.set(chains.right[c], (sums.get(chains.right[c]) ?? 0) + right * values[c]);
  }
  sums.delete(-1);
  return sums;
}

/** Regions whose plan area may change, and by how much, mm². */
function areaAllowances(chains: BorderChains, toleranceMm: number): Map<number, number> {
  const sides = Array.from(chains.closed, (_, c) => chainSums(chains, c));
  const of = (sum: 'area' | 'length'): number[] => sides.map((side) => side[sum]);
  const areas = sumsByRegion(chains, of('area'), -1),
    lengths = sumsByRegion(chains, of('length'), 1);
  return new Map(
    [...areas].map(([label, area]) => {
      const length = lengths.get(label) ?? 0,
        share = AREA_SHARE * Math.abs(area);
      const isWall = Math.abs(area) <= WALL_MM * length;
      return [label, isWall ? Math.max(MOVED_SHARE * toleranceMm * length, share) : share];
    }),
  );
}

/** A chain's part of the shoelace sum about the first point of all, mm², and its length in plan, mm. */
function chainSums({ points, start, closed }: BorderChains, c: number): { area: number; length: number } {
  const [ox, oy] = [points[0], points[1]];
  let sum = 0,
    length = 0;
  for (let i = start[c]; i < start[c + 1]; i++) {
    if (i + 1 === start[c + 1] && !closed[c]) break;
    const j = i + 1 < start[c + 1] ? i + 1 : start[c];
    const dx = points[3 * j] - points[3 * i],
      dy = points[3 * j + 1] - points[3 * i + 1];
    sum += (points[3 * i] - ox) * (points[3 * j + 1] - oy) - (points[3 * j] - ox) * (points[3 * i + 1] - oy);
    length += Math.sqrt(dx * dx + dy * dy);
  }
  return { area: sum / 2, length };
}

/** Plan area between a chain and what is kept of it, mm², signed. */
function areaLost(points: Float64Array, from: number, to: number, closed: boolean, kept: Uint8Array): number {
  let sum = 0,
    anchor = from;
  const count = closed ? to - from + 1 : to - from;
  for (let step = 1; step < count; step++) {
    const i = from + step - 1,
      j = from + step < to ? from + step : from;
    sum +=
      (points[3 * i] - points[3 * anchor]) * (points[3 * j + 1] - points[3 * anchor + 1]) -
      (points[3 * j] - points[3 * anchor]) * (points[3 * i + 1] - points[3 * anchor + 1]);
    if (kept[j]) anchor = j;
  }
  return sum / 2;
}

/** A side has points left out; a side is new since the last round. A pair with neither has been settled. */
const HAS_POINTS = 1,
  IS_NEW = 2;

/**
 * Keeps one more point of each side that crosses another, if any.
 *
 * @param before (P) 1 where the last round put a point back; null: this is the first
 * @returns (P) 1 where this one did
 */
function restoreAtCrossings(chains: BorderChains, kept: Uint8Array, before: Uint8Array | null): Uint8Array {
  const { points } = chains;
  const { first, end, inside, plan } = keptSides(chains, kept);
  const restored = new Uint8Array(kept.length);
  const flags = Uint8Array.from(
    first,
    (from, s) =>
      (inside[s] - from > 1 ? HAS_POINTS : 0) |
      (!before || before[from] === 1 || before[end[s]] === 1 ? IS_NEW : 0),
  );
  const restore = (s: number) => {
    const far = farthest(first[s] + 1, inside[s], (i) => offLine(points, first[s], end[s], i));
    if (far < 0 || kept[far]) return;
    kept[far] = 1;
    restored[far] = 1;
  };
  const isAbove = (s: number, t: number) =>
    Math.min(points[3 * first[s] + 2], points[3 * end[s] + 2]) >
    Math.max(points[3 * first[t] + 2], points[3 * end[t] + 2]) + SEPARATE_HEIGHT_MM;
  findCrossings(
    plan,
    0,
    (s, t) => {
      if (isAbove(s, t) || isAbove(t, s)) return false;
      restore(s);
      restore(t);
      return false;
    },
    { of: flags, all: HAS_POINTS | IS_NEW },
  );
  return restored;
}

/** Sides between kept points: their end points, and one past the last point that lies between. */
function keptSides({ points, start, closed }: BorderChains, kept: Uint8Array) {
  const first: number[] = [],
    end: number[] = [],
    inside: number[] = [],
    plan: number[] = [];
  for (let c = 0; c < closed.length; c++) {
    let before = start[c];
    for (let i = start[c] + 1; i <= start[c + 1]; i++) {
      const wraps = i === start[c + 1];
      if (wraps ? !closed[c] : !kept[i]) continue;
      const to = wraps ? start[c] : i;
      first.push(before);
      end.push(to);
      inside.push(i);
      plan.push(points[3 * before], points[3 * before + 1], points[3 * to], points[3 * to + 1]);
      before = i;
    }
  }
  return { first, end, inside, plan: Float64Array.from(plan) };
}

function thin(chains: BorderChains, kept: Uint8Array): BorderChains {
  const start = new Uint32Array(chains.start.length);
  const points = new Float64Array(3 * kept.reduce((sum, one) => sum + one, 0));
  let at = 0;
  for (let c = 0; c < chains.closed.length; c++) {
    for (let i = chains.start[c]; i < chains.start[c + 1]; i++) {
      if (kept[i]) points.set(chains.points.subarray(3 * i, 3 * i + 3), 3 * at++);
    }
    start[c + 1] = at;
  }
  return { ...chains, points, start };
}
