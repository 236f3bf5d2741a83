import { mapTo } from '../core/map-to.js';
import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { runningSum } from '../core/sum.js';
import { nextCorner } from '../part/half-edge.js';
import { edgeKey } from '../surface/edge-key.js';
import { onTrueSurface, type SmoothPart } from '../part/sagittas.js';
import type { Surface } from '../part/types.js';
import { growingNumbers, type GrowingNumbers } from '../core/growing-numbers.js';
import type { ReachAnswers } from './reach-engine.js';
import { CROSSING_STRIDE } from './reach-kernels.js';
import type { BorderTold } from './reach-middles.js';
import { NOT_ASKED } from './sample-reach.js';

/** Where the border of what one radius reaches crosses the edges of a surface. */
export interface ReachBorder {
  /** index of the radius */
  readonly index: number;
  /** (E) one half-edge of each edge that is crossed */
  readonly halfEdges: Int32Array;
  /** (E) fraction of each edge from its unreached end to the border, 0 .. 1 */
  readonly fractions: Float64Array;
}

/** Which of a surface's vertices each radius reaches. */
export interface ReachCounts {
  readonly surface: Surface;
  /** (F) index in `CLASSES`, or more where not machinable */
  readonly labels: Uint8Array;
  /** (V) from `sampleReach` */
  readonly reachRadii: Float64Array;
  readonly counts: Uint8Array;
  /** where borders lie that need not be asked */
  readonly toldBorder: BorderTold;
  /** ascending, mm, allowance included */
  readonly radii: Float64Array;
  readonly part: SmoothPart;
}

/**
 * Finds where the borders of all radii cross the machinable facets' edges.
 *
 * @param accuracyMm along an edge
 * @returns one border per radius, in their order
 */
export async function reachBorders(
  input: ReachCounts,
  engine: ReachAnswers,
  accuracyMm: number,
  context: Context,
): Promise<ReachBorder[]> {
  const { surface, labels, counts, radii } = input;
  if (
    labels.length * 3 !== surface.mesh.triangles.length ||
    counts.length * 3 !== surface.mesh.positions.length
  ) {
    throw new RangeError(
      `reachBorders: ${labels.length} labels and ${counts.length} counts do not fit the surface`,
    );
  }
  const items = growingNumbers(),
    halfEdges = growingNumbers(),
    indices = growingNumbers();
  const fractions = growingNumbers();
  collectCrossings(input, halfEdges, indices, fractions, items);
  const found = fractions.toArray();
  if (items.length() > 0) {
    const answers = await engine.run(
      { kind: 'crossings', items: items.toArray(), radii, accuracyMm },
      context.signal,
      (done) => context.progress?.('reach borders', done),
    );
    let next = 0;
    found.forEach((fraction, n) => {
      if (Number.isNaN(fraction)) found[n] = answers[next++];
    });
    if (next !== answers.length) throw new RangeError('reachBorders: out of step');
  }
  const edges = halfEdges.toArray(),
    indexOf = indices.toArray();
  return Array.from(radii, (_, index) => {
    const own: number[] = [];
    indexOf.forEach((i, n) => {
      if (i === index) own.push(n);
    });
    return {
      index,
      halfEdges: mapTo(new Int32Array(own.length), own, (n) => edges[n]),
      fractions: mapTo(new Float64Array(own.length), own, (n) => found[n]),
    };
  });
}

/**
 * Of half-edges that a border crosses, from both sides, the share from their unreached end to the border.
 *
 * @param out (3 F) those are written to, others left as they are
 * @returns out
 */
export function fractionsAlong<T extends Float32Array | Float64Array>(
  { halfEdges, fractions }: Pick<ReachBorder, 'halfEdges' | 'fractions'>,
  twin: Int32Array,
  out: T,
): T {
  halfEdges.forEach((h, i) => {
    out[h] = fractions[i];
    if (twin[h] >= 0) out[twin[h]] = fractions[i];
  });
  return out;
}

/** What is told, and the borders that were found: one asked about twice would lie in two places. */
export function withFound(
  { surface, counts, radii, toldBorder }: ReachCounts,
  borders: readonly ReachBorder[],
): BorderTold {
  const { triangles } = surface.mesh;
  const found = borders.map(() => new Map<number, number>());
  /** Of few radii borders are asked for again. */
  const fractionsOf = (index: number): ReadonlyMap<number, number> => {
    const own = found[index],
      { halfEdges, fractions } = borders[index];
    if (own.size === 0)
      halfEdges.forEach((h, i) => own.set(edgeKey(triangles[h], triangles[nextCorner(h)]), fractions[i]));
    return own;
  };
  return (out, reached, radius) => {
    const index = radii.indexOf(radius);
    const isCrossed = index >= 0 && counts[out] <= index && counts[reached] > index;
    return (
      (isCrossed ? fractionsOf(index).get(edgeKey(out, reached)) : undefined) ??
      toldBorder(out, reached, radius)
    );
  };
}

const place = new Float64Array(6);

/**
 * Every edge of machinable facets between ends that different radii reach; of one edge the largest radius
 * comes first. Where the border's place is told its fraction follows; elsewhere it is NaN and the edge is to be
 * asked about.
 */
function collectCrossings(
  { surface, labels, reachRadii, counts, toldBorder, part, radii }: ReachCounts,
  halfEdges: GrowingNumbers,
  indices: GrowingNumbers,
  fractions: GrowingNumbers,
  items: GrowingNumbers,
): void {
  const { triangles, positions } = surface.mesh;
  const { twin } = surface.topology;
  const ends = new Float64Array(CROSSING_STRIDE - 1);
  const placeEnds = (h: number, ...corners: readonly [number, number]): void =>
    corners.forEach((corner, end) => {
      const v = 3 * triangles[corner];
      onTrueSurface(
        part,
        surface.parent[(h / 3) | 0],
        positions[v],
        positions[v + 1],
        positions[v + 2],
        place,
      );
      ends.set(place, 7 * end);
      ends[7 * end + 6] = reachRadii[triangles[corner]];
    });
  for (let h = 0; h < triangles.length; h++) {
    if (labels[(h / 3) | 0] >= MACHINABLE_CLASSES) continue;
    const t = twin[h];
    if (t >= 0 && t < h && labels[(t / 3) | 0] < MACHINABLE_CLASSES) continue;
    const next = nextCorner(h);
    const a = counts[triangles[h]],
      b = counts[triangles[next]];
    if (a === b || a === NOT_ASKED || b === NOT_ASKED) continue;
    const [out, reached] = a < b ? [h, next] : [next, h];
    let isPlaced = false;
    for (let index = Math.min(Math.max(a, b), radii.length) - 1; index >= Math.min(a, b); index--) {
      const told = toldBorder(triangles[out], triangles[reached], radii[index]);
      halfEdges.push(h);
      indices.push(index);
      fractions.push(told);
      if (!Number.isNaN(told)) continue;
      if (!isPlaced) placeEnds(h, out, reached);
      isPlaced = true;
      for (const value of ends) items.push(value);
      items.push(index);
    }
  }
}

/**
 * Area of the machinable surface that a radius does not reach, mm², facets cut along straight borders.
 *
 * @param areas (F) mm²
 * @param scratch (3 F) overwritten
 * @returns total, and each facet's share (F) 0 .. 1
 */
export function unreachedArea(
  { surface, labels, counts }: ReachCounts,
  areas: Float64Array,
  border: ReachBorder,
  scratch: Float32Array,
): { readonly totalMm2: number; readonly share: Float64Array } {
  const { triangles } = surface.mesh;
  fractionsAlong(border, surface.topology.twin, scratch);
  const share = new Float64Array(areas.length);
  const total = runningSum();
  const { index } = border;
  const isOut = (h: number): boolean => counts[triangles[h]] <= index,
    fraction = (h: number): number => scratch[h];
  for (let f = 0; f < areas.length; f++) {
    if (labels[f] >= MACHINABLE_CLASSES) continue;
    share[f] = shareOut(f, isOut, fraction);
    total.add(share[f] * areas[f]);
  }
  return { totalMm2: total.value(), share };
}

/**
 * Share of a facet that lies beyond a straight border.
 *
 * @param isOut whether the corner h does
 * @param fraction of a half-edge that is crossed: from its end beyond to the border
 */
export function shareOut(f: number, isOut: (h: number) => boolean, fraction: (h: number) => number): number {
  const h = 3 * f;
  const a = isOut(h) ? 1 : 0,
    b = isOut(h + 1) ? 1 : 0,
    c = isOut(h + 2) ? 1 : 0;
  const out = a + b + c;
  if (out === 0 || out === 3) return out / 3;
  // The lone corner: the one that differs from the other two. Its two edges are cut.
  const lone = a !== b && a !== c ? 0 : b !== a && b !== c ? 1 : 2;
  const one = fraction(h + lone),
    other = fraction(h + ((lone + 2) % 3));
  return out === 1 ? one * other : 1 - (1 - one) * (1 - other);
}
