import { MACHINABLE_CLASSES } from '../core/classes.js';
import { growingNumbers } from '../core/growing-numbers.js';
import { edgeLength, placeOf } from '../part/facet-geometry.js';
import { onTrueSurface, type SmoothPart } from '../part/sagittas.js';
import type { SurfaceBuilder } from '../surface/surface-builder.js';
import { FACET_STRIDE } from './open-facets.js';
import type { ReachAnswers } from './reach-engine.js';
import { reachAtCorner, type SidedReach } from './sided-reach.js';

/** Facets that are surely open to all radii, so that nothing inside them needs to be looked at. */
export interface Clear {
  /** finds out which of some are */
  look(build: SurfaceBuilder, faces: readonly number[], known: SidedReach): Promise<void>;
  is(f: number): boolean;
  /** face g is a piece of face f */
  cut(f: number, g: number): void;
}

interface ClearOptions {
  /** the largest, the allowance included, mm */
  readonly radiusMm: number;
  /** shorter facets are small enough, mm */
  readonly coarseMm: number;
  readonly part: SmoothPart;
  readonly toleranceMm: number;
  /** other cutters may be stopped where a ball passes: for them nothing is looked at */
  readonly mayBeLong: boolean;
}

export function clearFacets(
  engine: ReachAnswers,
  { part, radiusMm, coarseMm, toleranceMm, mayBeLong }: ClearOptions,
  signal?: AbortSignal,
): Clear {
  const clear = new Set<number>();
  const slackMm = CLEAR_SHARE * toleranceMm;
  return {
    is: (f) => clear.has(f),
    cut: (f, g) => {
      if (clear.has(f)) clear.add(g);
    },
    look: async (build, faces, known) => {
      const arrays = build.arrays();
      const places = new Float64Array(FACET_STRIDE);
      const isLarge = (f: number): boolean =>
        [0, 1, 2].some((k) => edgeLength(arrays, 3 * f + k) > coarseMm) &&
        [0, 1, 2].every((k) => reachAtCorner(known, arrays, 3 * f + k) >= radiusMm);
      const asked: number[] = [],
        items = growingNumbers();
      for (const f of mayBeLong ? faces : []) {
        if (arrays.labels[f] >= MACHINABLE_CLASSES || clear.has(f) || !isLarge(f)) continue;
        for (let k = 0; k < 3; k++) {
          const [x, y, z] = placeOf(arrays.positions, arrays.triangles[3 * f + k]);
          onTrueSurface(part, arrays.parent[f], x, y, z, places.subarray(6 * k, 6 * k + 6));
        }
        if (mostBow(places) > slackMm) continue;
        asked.push(f);
        for (const value of places) items.push(value);
      }
      if (asked.length === 0) return;
      const task = { kind: 'open-facets', items: items.toArray(), radiusMm, slackMm } as const;
      const answers = await engine.run(task, signal);
      asked.forEach((f, i) => {
        if (answers[i] === 1) clear.add(f);
      });
    },
  };
}

/** Share of the tolerance by which a cutter that counts as clear may enter the part, and its way off the chord. */
const CLEAR_SHARE = 0.5;

/** How far the surface bows from a facet that is given by its corners and the normals there, mm. */
function mostBow(places: Float64Array): number {
  const apart = (a: number, b: number): number =>
    Math.sqrt([0, 1, 2].reduce((sum, k) => sum + (places[a + k] - places[b + k]) ** 2, 0));
  const bow = (a: number, b: number): number => (apart(a, b) * apart(a + 3, b + 3)) / 8;
  return Math.max(bow(0, 6), bow(6, 12), bow(12, 0));
}
