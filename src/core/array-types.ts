/**
 * Marks an array by what its index runs over, so that a vertex array cannot be passed where a face array is
 * meant.
 */
declare const per: unique symbol;

/** One entry (or one fixed-size tuple) per triangle. No run-time cost. */
export type PerFace<T> = T & { readonly [per]: 'face' };
/** One entry (or one fixed-size tuple) per vertex. */
export type PerVertex<T> = T & { readonly [per]: 'vertex' };
/** One entry (or one fixed-size tuple) per corner, corner `3 f + k` being corner `k` of triangle `f`. */
export type PerCorner<T> = T & { readonly [per]: 'corner' };

/** Declares that `array` is indexed by triangle. */
export const perFace = <T extends ArrayBufferView>(array: T): PerFace<T> => array as PerFace<T>;
/** Declares that `array` is indexed by vertex. */
export const perVertex = <T extends ArrayBufferView>(array: T): PerVertex<T> => array as PerVertex<T>;
/** Declares that `array` is indexed by corner. */
export const perCorner = <T extends ArrayBufferView>(array: T): PerCorner<T> => array as PerCorner<T>;
