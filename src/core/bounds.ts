type Triple = [number, number, number];
/** Least and greatest of each coordinate; `Infinity` and `-Infinity` where there is no point. */
export interface Bounds {
  readonly min: Triple;
  readonly max: Triple;
}

/** Bounds of nothing, to be widened with `include`. */
export const emptyBounds = (): Bounds => ({
  min: [Infinity, Infinity, Infinity],
  max: [-Infinity, -Infinity, -Infinity],
});

/** Widens bounds by the point whose x is `positions[at]`. */
export function include({ min, max }: Bounds, positions: ArrayLike<number>, at: number): void {
  for (let i = 0; i < 3; i++) {
    const value = positions[at + i];
    if (value < min[i]) min[i] = value;
    if (value > max[i]) max[i] = value;
  }
}

/**
 * Bounds of points in space.
 *
 * @param positions (3 n) x, y, z
 * @param vertices which of them; all if left out
 */
export function boundsOf(positions: ArrayLike<number>, vertices?: ArrayLike<number>): Bounds {
  const bounds = emptyBounds();
  if (vertices) for (let i = 0; i < vertices.length; i++) include(bounds, positions, 3 * vertices[i]);
  else for (let at = 0; at < positions.length; at += 3) include(bounds, positions, at);
  return bounds;
}

/**
 * Bounds of rings in plan; infinite as above where there is no point.
 *
 * @param rings (2 n) x, y each
 */
export function planBounds(rings: readonly ArrayLike<number>[]): {
  min: [number, number];
  max: [number, number];
} {
  const min: [number, number] = [Infinity, Infinity],
    max: [number, number] = [-Infinity, -Infinity];
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i++) {
      if (ring[i] < min[i % 2]) min[i % 2] = ring[i];
      if (ring[i] > max[i % 2]) max[i % 2] = ring[i];
    }
  }
  return { min, max };
}

/** The greatest extent along an axis; `-Infinity` of empty bounds. */
export function longestSide(bounds: {
  readonly min: readonly number[];
  readonly max: readonly number[];
}): number {
  return Math.max(...bounds.max.map((high, i) => high - bounds.min[i]));
}

/** Least of many values, more than a call takes as arguments; `Infinity` for none. */
export function leastOf(values: ArrayLike<number>): number {
  let least = Infinity;
  for (let i = 0; i < values.length; i++) if (values[i] < least) least = values[i];
  return least;
}

/** Greatest of many values; `-Infinity` for none. */
export function mostOf(values: ArrayLike<number>): number {
  let most = -Infinity;
  for (let i = 0; i < values.length; i++) if (values[i] > most) most = values[i];
  return most;
}
