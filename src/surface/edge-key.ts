/** More vertices than any surface has. */
const MOST_VERTICES = 2 ** 26;

/** One number for the edge between two vertices. */
export const edgeKey = (a: number, b: number): number => Math.min(a, b) * MOST_VERTICES + Math.max(a, b);
