/** The same plain data, read-only all the way down. */
export type DeepReadonly<T> = { readonly [K in keyof T]: DeepReadonly<T[K]> };
