/** The classes that partition the surface of a part, in the order in which every output lists them. */
export const CLASSES = [
  'level',
  'shallow',
  'overlap',
  'steep',
  'undercut',
  'hidden',
  'underside',
  'outside',
] as const;
export type SurfaceClass = (typeof CLASSES)[number];

/** Something of each class, by its name. */
export const byClass = <T>(make: (name: SurfaceClass, index: number) => T): Record<SurfaceClass, T> =>
  Object.fromEntries(CLASSES.map((name, i) => [name, make(name, i)])) as Record<SurfaceClass, T>;

/** Index of each class in `CLASSES`; the value stored in per-face arrays. */
export const CLASS_INDEX: Readonly<Record<SurfaceClass, number>> = byClass((_, index) => index);

/** Classes that a 3-axis finishing cutter is meant to cut: level, shallow, overlap, steep. */
export const MACHINABLE_CLASSES = 4;
