/**
 * Farther from the origin than this no point of a part or a drawing may lie, mm: a kilometre, where coordinates
 * of single precision step by 0.06 mm. Nothing that is computed from smaller ones overflows.
 */
export const MOST_MM = 1e6;

/** No length that is asked for may be less, mm: what is smaller is far below what is milled or measured. */
export const LEAST_MM = 1e-6;

/** Patches of surface below this area, mm², are rounding at a border, not something to cut: they are in no list. */
export const LEAST_PIECE_MM2 = 0.01;

/** More is not unpacked from one file, bytes. */
export const MOST_UNPACKED_BYTES = 2 ** 31;

/** More triangles are not read. */
export const MOST_TRIANGLES = 20_000_000;
