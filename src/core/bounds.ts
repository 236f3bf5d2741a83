export type Triple = [number, number, number];

/** Least and greatest coordinates of points, x, y, z in turn; Infinity and -Infinity for none. */
export function boundsOf(positions: ArrayLike<number>): { readonly min: Triple; readonly max: Triple } {
  const min: Triple = [Infinity, Infinity, Infinity],
    max: Triple = [-Infinity, -Infinity, -Infinity];
  for (let p = 0; p < positions.length; p += 3) {
    for (let i = 0; i < 3; i++) {
      const value = positions[p + i];
      if (value < min[i]) min[i] = value;
      if (value > max[i]) max[i] = value;
    }
  }
  return { min, max };
}
