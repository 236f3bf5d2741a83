/**
 * The corner after `h` in its facet, counter-clockwise; also the end of half-edge `h`, which starts at corner
 * `h`.
 */
export const nextCorner = (h: number): number => (h % 3 === 2 ? h - 2 : h + 1);

/** The corner before `h` in its facet; also the half-edge that ends at corner `h`. */
export const prevCorner = (h: number): number => (h % 3 === 0 ? h + 2 : h - 1);
